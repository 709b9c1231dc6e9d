"""Words that say something of a foot only beside others: "cold", "dry", "not bad", "new ones".

"The other one's cold" denies heat, "it's cold" is the weather; "wall's sound" is no gait;
"testers right round, not a flinch" answers the testers; "hardly using the left hind" bears no
weight. Each is settled here by what stands around it, before clauses are built.
"""

from __future__ import annotations

from fieldlog.language.lexicon import find_item
from fieldlog.language.words.marks import ALL_FOUR, Mark, in_order
from fieldlog.language.words.units_said import COPULAS, HEADS, Line

_NOW = frozenset({"now", "today"})


def settle_plain_words(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks with the words of this module told apart."""
    out: list[Mark] = []
    for mark in marks:
        if _new_one(line, out, mark):
            continue
        if mark.code == "good_word" and _cold_foot(line, out, mark):
            mark.kind, mark.code = "finding", "cool_foot"
            mark.item = find_item("cool_foot", "finding")
        if mark.code == "sound" and out and _of_a_place(line, out, mark):
            mark.code, mark.item = "normal", find_item("normal", "finding")
        if mark.code == "good_word" and _no_praise(line, out, mark):
            continue
        if mark.code == "interference" and mark.size > 1 and _told_again(out, mark):
            mark.kind, mark.code, mark.item = "role", "strikes", None
        if mark.code == "normal" and _like_a_foot(line, mark):
            continue
        if mark.code == "normal" and line.norm(mark.start - 1) in ("to", "into", "through"):
            continue  # "cleaned it out to good wall"
        if mark.code == "normal" and mark.size == 1 and _only_praise(line, out, mark):
            continue
        mild = mark.code == "normal" and line.norm(mark.start) in ("not", "nothing")
        if mild and _not_so_bad(line, out, mark):
            mark.kind, mark.code, mark.item = "role", "mild", None
        out.append(mark)
    for step in (_dry, _loose, _spared, _testers):
        out = step(line, out)
    return out


def _like_a_foot(line: Line, mark: Mark) -> bool:
    """ "Trimmed it like a regular foot": how it was trimmed."""
    behind = {line.norm(mark.end - 1), line.norm(mark.end)}
    lead = {line.norm(i) for i in range(mark.start - 2, mark.start)}
    return bool(behind & {"foot", "hoof"}) and bool(lead & {"like", "as"})


def _no_praise(line: Line, before: list[Mark], mark: Mark) -> bool:
    """ "On the left well he's not", "pulse up near fore strong": no good word of the foot."""
    word, after = line.norm(mark.end - 1), line.norm(mark.end)
    if line.norm(mark.start - 1) in ("to", "into"):
        return True  # "cleaned it out to good wall"
    if word == "well" and mark.size == 1:
        return after in ("he", "she", "it", "they", "i", "we", "that")
    heads = [m for m in before if m.kind in HEADS and mark.start - m.end <= 5]
    return (
        word == "strong" and bool(heads) and heads[-1].code in ("digital_pulse", "bounding_pulse")
    )


def _told_again(before: list[Mark], mark: Mark) -> bool:
    """ "Interfering behind, the left's hitting the right": how it interferes."""
    return any(m.code == mark.code and mark.start - m.end <= 6 for m in before)


_PRAISE = frozenset({"lovely", "perfect"})


def _only_praise(line: Line, before: list[Mark], mark: Mark) -> bool:
    """ "No thrush, lovely", "trimmed them lovely": a word that is said of no foot."""
    if line.norm(mark.start) not in _PRAISE:
        return False
    word = line.norm(mark.start - 1)
    if word in COPULAS or word in ("all", "both", "really", "looking", "just", "absolutely"):
        return False
    return not any(m.end == mark.start and m.kind in ("foot", "place") for m in before)


_ONE = frozenset({"one", "ones"})
_UNDER = frozenset({"pad", "wedge", "studs", "boot", "packing", "pour_in"})
_OF_SHOES = ("shoe_", "clench", "wall_broken", "nail_")


def _new_one(line: Line, before: list[Mark], mark: Mark) -> bool:
    """ "Cracks are growing down, no new ones": another of what was found, no shoe."""
    if mark.kind != "work" or mark.code != "shoe":
        return False
    if "new" not in {line.norm(i) for i in mark.covers()} or line.norm(mark.end - 1) not in _ONE:
        return False
    heads = [m for m in before if m.kind in HEADS and mark.start - m.end <= 12]
    if heads and heads[-1].kind == "work":
        return heads[-1].code in _UNDER  # "pads in front as always, leather, new ones"
    return bool(heads) and heads[-1].kind == "finding" and not heads[-1].code.startswith(_OF_SHOES)


def _of_a_place(line: Line, before: list[Mark], mark: Mark) -> bool:
    """ "Wall's sound", "near hind's level as a table": the hoof, not the gait."""
    at = mark.start - 1
    while line.norm(at) in ("is", "'s", "are", "it", "that", "there", "over", "still", "all"):
        at -= 1
    if line.norm(at) in ("horn", "growth", "patch"):
        return True
    left = next((m for m in reversed(before) if m.tells()), None)
    if left is None or mark.start - left.end > 2:
        return False
    level = line.norm(mark.start) in ("level", "even") and left.kind == "foot"
    return left.kind == "place" or level


def _cold_foot(line: Line, before: list[Mark], mark: Mark) -> bool:
    """ "The other one's cold": the foot, not the weather."""
    if line.norm(mark.end - 1) not in ("cold", "cool"):
        return False
    at = mark.start - 1
    while line.norm(at) in ("'s", "is", "are", "feels", "nice", "and", "both"):
        at -= 1
    return any(m.kind == "foot" and m.end == at + 1 for m in before)


_HEALTHY = frozenset({"healthy", "clean", "firm", "tight", "good", "sound", "tidy", "tough"})


def _not_so_bad(line: Line, before: list[Mark], mark: Mark) -> bool:
    """ "Thrush but not bad": how bad what was just named is."""
    left = next((m for m in reversed(before) if m.tells() and m.kind != "place"), None)
    between = [] if left is None else [line.norm(i) for i in range(left.end, mark.start)]
    words = {"but", ",", "it", "'s", "is", "though", "just"}
    if line.norm(mark.start) == "nothing":
        home = {line.norm(i) for i in mark.covers()} & {"home", "serious", "bad", "worry"}
        return bool(home) and left is not None and left.kind == "finding" and len(between) <= 5
    return left is not None and left.kind == "finding" and set(between) <= words


_WET = frozenset({"abscess", "abscess_track", "discharge", "hollow", "thrush", "wound", "seedy_toe",
                  "bleeding", "canker"})  # fmt: skip


_DRAINED = frozenset({"hole", "track", "tract", "abscess", "abscessed", "blew", "burst",
                      "blowout", "drained", "draining", "hospital", "keratoma", "probe",
                      "probed"})  # fmt: skip
_SO = frozenset({"'s", "is", "was", "all", "clean", "now", "are", ",", "stays"})


def _drained(line: Line, at: int) -> bool:
    return bool({line.norm(i) for i in range(max(0, at - 30), at)} & _DRAINED)


def _dry(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Hinds are a little dry": the feet; "blew at the bulb, it's dry now": what drained."""
    out = list(marks)
    for begin, end in line.sentences():
        for at in range(begin, end):
            after = line.norm(at + 1)
            if line.norm(at) != "dry" or after in ("frog", "frogs", "again"):
                continue
            if after == "and" and line.norm(at + 2) in _HEALTHY:
                continue
            if any(m.holds(at) for m in out if m.kind != "role"):
                continue
            back = at - 1
            small = {i for m in out if m.code in ("mild", "adverb", "copula", "severe")
                     for i in m.covers()}  # fmt: skip
            while back in small or line.norm(back) in ("too", "very", "a", "bit", "both"):
                back -= 1
            foot = any(m.kind == "foot" and m.end == back + 1 for m in out)
            wet = any(m.kind == "finding" and m.code in _WET and m.start < end for m in out)
            code = "dry_horn" if foot and not wet and after not in _NOW else ""
            if not foot and _drained(line, at) and (at == begin or line.norm(at - 1) in _SO):
                code = "dry_hole" if line.break_at(at + 1) or after in _NOW | {"and"} else ""
            if not code:
                continue
            out = [m for m in out if not m.holds(at)]
            out.append(Mark("finding", code, at, at + 1, find_item(code, "finding")))
    return in_order(out)


def _loose(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Clenches risen, near fore loose": the shoe, where nothing else is named."""
    out = list(marks)
    ends = {m.end for m in marks if m.kind == "foot"}
    own = [m for m in marks if m.kind != "role" and not (m.code == "shoe_loose" and m.size == 1)]
    taken = {i for m in own for i in m.covers()}
    for at in range(len(line.words)):
        after = line.norm(at + 1)
        if line.norm(at) != "loose" or at in taken:
            continue
        back = at
        while line.norm(back - 1) in ("is", "'s", "a", "bit", "very", "quite", "was"):
            back -= 1
        if back in ends and (line.break_at(at + 1) or after in ("and", "but", "so", "again")):
            out = [m for m in out if not m.holds(at)]
            out.append(Mark("finding", "shoe_loose", at, at + 1,
                            find_item("shoe_loose", "finding")))  # fmt: skip
    return in_order(out)


_SPARING = frozenset({"not", "isn't", "wasn't", "hardly", "barely", "scarcely", "won't", "wouldn't",
                      "can't", "ain't"})  # fmt: skip


def _spared(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Hardly using the left hind", "won't stand on the right fore": a foot that bears nothing."""
    out = list(marks)
    for foot in [m for m in marks if m.kind == "foot"]:
        at = foot.start - 1
        while line.norm(at) in ("the", "his", "her", "that"):
            at -= 1
        end = at + 1
        if line.norm(at) == "on" and line.norm(at - 1) in ("stand", "standing", "walk", "walking"):
            at -= 1
        elif line.norm(at) not in ("using", "loading", "weighting", "use", "load"):
            continue
        if line.norm(at - 1) not in _SPARING or foot.code == ALL_FOUR:
            continue
        words = set(range(at - 1, end))
        out = [m for m in out if not m.touches(words)]
        item = find_item("not_weight_bearing", "finding")
        out.append(Mark("finding", "not_weight_bearing", at - 1, end, item))
    return in_order(out)


_QUIET = (
    ("not", "a", "flinch"), ("no", "flinch"), ("never", "flinched"), ("didn't", "flinch"),
    ("no", "reaction"), ("no", "response"), ("not", "a", "thing"), ("got", "nothing"),
    ("not", "a", "squeak"), ("wasn't", "a", "squeak"), ("wasn't", "a", "flinch"),
    ("not", "a", "peep"), ("wasn't", "a", "peep"), ("never", "moved"), ("no", "pain"),
    ("nothing",), ("zip",), ("zilch",), ("nada",), ("no", "joy"), ("never", "budged"),
    ("all", "clear"), ("negative",), ("not", "a", "twitch"), ("never", "twitched"),
)  # fmt: skip


_LOUD = (
    ("jumped",), ("he", "jumped"), ("she", "jumped"), ("flinched",), ("he", "flinched"),
    ("she", "flinched"), ("went", "through", "the", "roof"), ("through", "the", "roof"),
    ("nearly", "sat", "down"), ("hit", "the", "roof"), ("positive",), ("yanked",),
    ("he", "yanked", "it"), ("big", "reaction"), ("good", "reaction"), ("nearly", "had", "me"),
    ("sore",), ("tender",),
)  # fmt: skip


_SQUEEZED = frozenset({"testers", "tester", "pinched", "squeezed", "pinchers", "squeezers"})


def _answer(line: Line, marks: list[Mark], first: int) -> int:
    """One past the last word of "not a flinch", "he jumped"; ``first`` if none begins there."""
    answers = (*_QUIET, *_LOUD)
    said = next((q for q in answers if tuple(line.norm(first + i) for i in range(len(q))) == q), ())
    last = first + len(said)
    closes = line.break_at(last) or line.norm(last) in _ANSWERED
    return last if closes or any(m.kind == "foot" and m.start == last for m in marks) else first


_ANSWERED = frozenset({"and", "but", "so", "in", "on", "out", "at", "over"})


def _testers(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Testers right round both fronts, not a flinch": the answer stands behind a pause."""
    out = list(marks)
    for begin, end in line.sentences():
        at = next((i for i in range(begin, end) if line.norm(i) in _SQUEEZED), None)
        verb = {at} if at is not None and line.norm(at) in ("pinched", "squeezed") else set()
        if at is None or any(m.holds(at) and m.covers() != verb for m in out
                             if m.kind != "role"):  # fmt: skip
            continue
        for first in range(at + 1, min(end, at + 16)):
            last = _answer(line, out, first)
            words = verb | set(range(first, last))
            if last == first or any(m.kind == "finding" and m.covers() - words for m in out
                                    if m.touches(words)):  # fmt: skip
                continue
            out = [m for m in out if not m.touches(words)]
            loud = tuple(line.norm(i) for i in range(first, last)) in _LOUD
            code = "tester_positive" if loud else "tester_negative"
            out.append(Mark("finding", code, first, last, find_item(code, "finding")))
    return in_order(out)
