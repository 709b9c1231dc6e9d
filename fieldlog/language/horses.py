"""Which horse: finds names and the words that open or close a horse's part of a note."""

from __future__ import annotations

import re
from collections.abc import Sequence, Set
from dataclasses import dataclass, field

from fieldlog.core.facts import HorseMention
from fieldlog.language.lexicon import read_data, word_set
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

COLOURS = word_set("colours")
SEXES = word_set("sexes")
_TYPES = word_set("horse_types")
_LINK = word_set("horse_links")
_NEVER = word_set("never_a_name")
_TITLES = {part: frozenset(words) for part, words in read_data("titles").items()}


@dataclass(slots=True)
class Opening:
    """Where a horse's part begins."""

    start: int
    """First word of the words that open it."""
    end: int
    """One past the last word of the mention."""
    name: str
    details: dict[str, str]
    known: bool
    replaced: tuple[int, int] | None = None
    """Words in which a detail was corrected ("grey mare, er, bay mare")."""


NameAt = tuple[int, int, str]
"""First word, one past the last, the name."""


def known_names(words: Sequence[Token], names: Sequence[str]) -> list[NameAt]:
    """Where names from the caller's list stand: first word, one past the last, the name."""
    wanted = {tuple(re.findall(r"[^\W_]+", name.lower())): name for name in names if name.strip()}
    out: list[NameAt] = []
    longest = max((len(w) for w in wanted), default=0)
    at = 0
    while at < len(words):
        for size in range(longest, 0, -1):
            name = wanted.get(tuple(w.norm for w in words[at : at + size]))
            if name is not None:
                out.append((at, at + size, name))
                at += size - 1
                break
        at += 1
    return out


def openings(
    words: Sequence[Token],
    marks: Sequence[Mark],
    names: Sequence[NameAt],
    text: str,
) -> list[Opening]:
    """The places where a new horse begins, in order."""
    out: list[Opening] = []
    taken_until = 0
    meaningful = {
        at
        for m in marks
        for at in m.covers()
        if m.kind not in ("role", "correction")
        or m.code in ("mild", "moderate", "severe", "negation", "work_negation", "nails")
    }
    for mark in marks:
        opens = mark.kind == "correction" and mark.code == "new_horse"
        opens = opens and not (_a_visit(words, mark) or _a_breed(words, mark))
        if opens and mark.start >= taken_until:
            found = _after_trigger(words, mark, names, text, meaningful)
            if found is not None:
                out.append(found)
                taken_until = found.end
    for begin, end, name in names:
        inside = any(o.start <= begin < o.end for o in out)
        opens = _opens(words, begin) or _comes_in_turn(words, end)
        if inside or not (opens or _between_jobs(marks, begin, end)):
            continue
        out.append(Opening(begin, end, name, {}, True))
    begun = {at for o in out for at in range(o.start, o.end)}
    listed = {at for begin, end, _ in names for at in range(begin, end)}
    turns = [o for o in _in_turn(words, text, meaningful, listed) if o.start not in begun]
    if len(out) + len(turns) > 1:  # one horse comes in no turn
        out += turns
    begun = {at for o in out for at in range(o.start, o.end)}
    out += _in_a_row(words, marks, text, begun | meaningful | listed)
    begun = {at for o in out for at in range(o.start, o.end)}
    out += [o for o in _announced(words, text, meaningful) if o.start not in begun | listed]
    begun = {at for o in out for at in range(o.start, o.end)}
    out += [o for o in _by_their_looks(words, marks) if o.start not in begun]
    out += _behind_the_end(words, marks, text, [o.start for o in out])
    return sorted(out, key=lambda o: o.start)


def _behind_the_end(
    words: Sequence[Token], marks: Sequence[Mark], text: str, begun: Sequence[int]
) -> list[Opening]:
    """ "Trimmed all four. End of horse. Order more shoes.": what is said behind the words that
    close a horse, before another one is named, is of that horse no more, unless he is spoken of
    ("Six weeks for him")."""
    out: list[Opening] = []
    for mark in marks:
        closes = mark.code == "end_horse" and {words[at].norm for at in mark.covers()} & {"horse"}
        if not closes or (mark.start and words[mark.start - 1].norm in _WHICH_END):
            continue
        stop = min((at for at in begun if at >= mark.end), default=len(words))
        said = {words[at].norm for at in range(mark.end, stop)}
        told = any(mark.end <= m.start < stop and m.kind in _TELLS_ALONE for m in marks)
        if (told or said & _TO_GET) and not said & _HIM:
            out.append(_named_behind(words, mark, text))
    return out


def _named_behind(words: Sequence[Token], mark: Mark, text: str) -> Opening:
    """ "End of horse. Marlow, trimmed all four.": with the name, where one opens the sentence."""
    at = mark.end
    while at < len(words) and words[at].sort != "word":
        at += 1
    end = _bare_name(words, at, text) if _titled(text, words, at) else 0
    strange = not any(w.norm in vocabulary() for w in words[at:end])
    if end and strange and [w.sort for w in words[end : end + 1]] == ["comma"]:
        return Opening(mark.start, end, text[words[at].start : words[end - 1].end], {}, False)
    return Opening(mark.start, mark.end, "", {}, False)


_WHICH_END = frozenset({"wrong", "other", "back", "front", "far", "this", "that", "the", "which",
                        "right", "hind", "same"})  # fmt: skip
""" "Sorry, wrong end of the horse": an end of him."""
_TELLS_ALONE = frozenset({"work", "finding", "followup", "value", "handling"})
_HIM = frozenset({"him", "her", "he", "she", "his"})
_TO_GET = frozenset({"order", "buy", "get", "bring", "remember", "remind", "pick"})
"""What a farrier tells himself between two horses."""


def _a_visit(words: Sequence[Token], mark: Mark) -> bool:
    """ "The same again at the next one": a visit, and no horse."""
    lead = [w.norm for w in words[max(0, mark.start - 2) : mark.start]]
    return (
        words[mark.start].norm == "next"
        and lead[-1:] == ["the"]
        and lead[0] in ("at", "for", "till", "until", "by")
    )


def _a_breed(words: Sequence[Token], mark: Mark) -> bool:
    """ "Duke, | quarter horse gelding": what he is, and no other horse; "The shire horse, trim"."""
    at = mark.start - 1
    if words[mark.start].norm != "horse" or at < 0 or words[at].norm not in _TYPES:
        return False
    return not (words[at - 1].norm == "the" and (at < 2 or words[at - 2].sort == "stop"))


def _opens(words: Sequence[Token], begin: int) -> bool:
    """A known name opens a part at the start of the note or of a clause, not inside one."""
    before = words[begin - 1] if begin else None
    if before is None or before.sort in ("stop", "pause"):
        return True
    return before.norm in (
        "onto",
        "okay",
        "ok",
        "alright",
        "so",
        "then",
        "now",
        "and",
        "that's",
        "done",
    )


def _comes_in_turn(words: Sequence[Token], end: int) -> bool:
    """ "...at Hollow Farm biscuit first trimmed all four": said without a stop before it."""
    after = words[end].norm if end < len(words) else ""
    return after in ("first", "next", "last")


def _between_jobs(marks: Sequence[Mark], begin: int, end: int) -> bool:
    """ "smudge trim dot trim": a known name with what was done to the last horse right before it
    and what is done to this one right behind."""
    told = [m for m in marks if m.kind in _TELLS_OF_ONE]
    return any(m.end == begin for m in told) and any(
        m.start == end and m.kind in ("work", "foot") for m in told
    )


def _in_turn(
    words: Sequence[Token], text: str, meaningful: set[int], known: set[int]
) -> list[Opening]:
    """ "Biscuit first, trimmed all four. Then Marlow, shod in front.": unlisted, but typed as names
    are, and behind nothing but a stop."""
    out: list[Opening] = []
    for at, word in enumerate(words):
        if at and words[at - 1].sort != "stop":
            continue
        named = at + (word.norm == "then")
        if named in meaningful | known or not _titled(text, words, named):
            continue
        end = _bare_name(words, named, text)
        after = [w.sort for w in words[end : end + 2]]
        first = named == at and _comes_in_turn(words, end) and after[1:] in (["comma"], ["stop"])
        strange = not any(w.norm in vocabulary() for w in words[named:end])
        if not end or not (first or (named > at and strange and after[:1] == ["comma"])):
            continue
        name = text[words[named].start : words[end - 1].end]
        if not {w.norm for w in words[end : end + 3]} & word_set("owner_words"):
            out.append(Opening(at, end + first, name, {}, False))
    return out


def _in_a_row(
    words: Sequence[Token], marks: Sequence[Mark], text: str, taken: set[int]
) -> list[Opening]:
    """ "Smudge, trim. Dot, trim.": unlisted names that open a sentence, each with a comma and what
    was done or found right behind it; one alone may be anybody who is spoken to.

    One that is a word of the trade or of talk ("Clover", "Anyway") counts beside another that is
    none, and before a job.
    """
    told = {m.start: m.kind for m in marks if m.kind in _TELLS_OF_ONE}
    out: list[Opening] = []
    strange = 0
    for at in range(len(words)):
        if (at and words[at - 1].sort != "stop") or at in taken or not _titled(text, words, at):
            continue
        end = _bare_name(words, at, text)
        if not end or [w.sort for w in words[end : end + 1]] != ["comma"] or end + 1 not in told:
            continue
        ordinary = any(w.norm in vocabulary() for w in words[at:end])
        if words[at].norm.endswith("est") or words[at].norm in _ORDINALS:
            continue  # "Longest, off hind. Shortest, near fore"
        owned = {w.norm for w in words[end + 1 : end + 4]} & word_set("owner_words")
        if owned or (ordinary and told[end + 1] != "work"):
            continue
        strange += not ordinary
        out.append(Opening(at, end, text[words[at].start : words[end - 1].end], {}, False))
    return out if strange and len(out) > 1 else []


def _by_their_looks(words: Sequence[Token], marks: Sequence[Mark]) -> list[Opening]:
    """ "The foal, trim. The mare, trim": colours and sexes that open a sentence, each with a comma
    and what was done or found right behind it; one alone may be the horse of the whole note."""
    told = {m.start for m in marks if m.kind in _TELLS_OF_ONE or m.code == "same"}
    out: list[Opening] = []
    looks: set[str] = set()
    for at in range(len(words)):
        if at and words[at - 1].sort != "stop":
            continue
        look = at
        while look < len(words) and words[look].norm in _LEADS_TO_LOOKS:
            look += 1
        if look + 2 >= len(words) or look + 2 not in told:
            continue
        if words[look + 1].sort != "comma" and words[look + 1].norm != ":":
            continue
        word = words[look].norm
        if word in COLOURS | SEXES | _BEASTS:
            looks.add(word)
            out.append(Opening(at, look + 1, "", _looks_of(word), False))
    return out if len(looks) > 1 and len(looks) == len(out) else []


def _looks_of(word: str) -> dict[str, str]:
    """What a colour or a sex tells of a horse; a donkey tells no more than that."""
    if word in COLOURS:
        return {"colour": word}
    return {"sex": word} if word in SEXES else {}


_BEASTS = frozenset({"donkey", "mule", "cob", "pony", "jenny", "hunter", "hinny", "shetland"})
_LEADS_TO_LOOKS = frozenset({"the", "then", "and", "old", "little", "big", "young", "wee", "other",
                             "last"})  # fmt: skip


def _announced(words: Sequence[Token], text: str, meaningful: set[int]) -> list[Opening]:
    """ "Two ponies, Pip and Squeak. Pip trimmed. Squeak's trimmed as well.": unlisted names that
    are told one after another, and of which at least two open a sentence later."""
    told: dict[str, int] = {}
    for at in range(len(words)):
        if at == 0 or words[at - 1].sort in ("stop", "comma"):
            listed = _listed_by(words, at, text, meaningful)
            told |= {name: end for name, end in listed if name not in told}
    out = [
        Opening(at, at + 1, text[words[at].start : words[at].end], {}, False)
        for at in range(1, len(words))
        if told.get(words[at].norm, at) < at
        and words[at - 1].sort == "stop"
        and _titled(text, words, at)
    ]
    return out if len({o.name for o in out}) > 1 else []


def _listed_by(
    words: Sequence[Token], begin: int, text: str, meaningful: set[int]
) -> list[tuple[str, int]]:
    """The names of "Pip, Dot and Squeak.", from their first word to a stop, each with the end of
    the list; none if that is no list of names."""
    names: list[str] = []
    at = begin
    while at < len(words) and words[at].sort != "stop":
        if at not in meaningful and _one_name(words, at, text):
            names.append(words[at].norm)
        elif (words[at].sort != "comma" and words[at].norm != "and") or not names:
            return []
        at += 1
    linked = at < len(words) and any(w.norm == "and" for w in words[begin:at])
    return [(name, at) for name in names] if linked and len(names) > 1 else []


def _one_name(words: Sequence[Token], at: int, text: str) -> bool:
    word = words[at]
    return word.norm not in _NEVER and word.norm.isalpha() and _titled(text, words, at)


_ORDINALS = frozenset({"first", "second", "third", "fourth", "last", "next"})
_TELLS_OF_ONE = frozenset({"work", "finding", "foot", "time", "measure", "value", "followup"})


_FRESH = frozenset({"next", "new"})
_WEAK = frozenset({"this", "here", "doing", "did", "done", "now", "okay", "got", "have", "horse",
                   "working", "moving", "going", "move", "on", "onto", "over", "and",
                   "switching", "note", "notes", "record", "entry", "another"})  # fmt: skip
"""First words that begin a horse only before a name or what tells of one."""
_LEADS_TO_NAME = frozenset({"this", "here", "notes", "note", "horse", "working", "moving", "onto",
                            "on"})  # fmt: skip


@dataclass(slots=True)
class _Told:
    """What the words behind "next horse is" tell of a horse."""

    end: int
    """One past the last word that tells."""
    at: int
    """Where the reading stopped: the word of the name, if there is one."""
    name: str = ""
    known: bool = False
    details: dict[str, str] = field(default_factory=dict)
    replaced: tuple[int, int] | None = None


def _after_trigger(
    words: Sequence[Token],
    mark: Mark,
    names: Sequence[NameAt],
    text: str,
    meaningful: set[int],
) -> Opening | None:
    """ "Next horse is Dusty, a bay gelding": the horse that the words behind a trigger tell of."""
    told = _read_on(words, mark, names, text, meaningful)
    if told.name:
        told.end, more = _described(words, told.end, meaningful)
        told.details = {**more, **told.details}
    first, last = words[mark.start].norm, words[mark.end - 1].norm
    weak = first in _WEAK
    seen = "sex" in told.details or "colour" in told.details
    if not told.name and not seen and (weak or told.end <= mark.end):
        if first in _FRESH and last in ("horse", "one", "'s"):
            return Opening(mark.start, mark.end, "", {}, False)
        return None
    if weak and _too_weak(words, mark, told, text):
        return None
    name = told.name
    if name and not told.known:
        name = " ".join(part[:1].upper() + part[1:] for part in name.split())
    return Opening(mark.start, told.end, name, told.details, told.known, told.replaced)


def _read_on(
    words: Sequence[Token],
    mark: Mark,
    names: Sequence[NameAt],
    text: str,
    meaningful: set[int],
) -> _Told:
    """Colour, sex, kind and name behind a trigger, at most 14 words on."""
    told = _Told(mark.end, mark.end)
    known = {n[0]: n for n in reversed(names)}
    for at in range(mark.end, min(len(words), mark.end + 14)):
        told.at = at
        if words[at].sort == "stop":
            return told
        if at in known:
            _, told.end, told.name = known[at]
            told.known = True
            return told
        of_a_finding = at in meaningful and words[at].norm in COLOURS
        if of_a_finding or not _describes(words[at], at, told):
            ended = 0 if at in meaningful else _bare_name(words, at, text, meaningful)
            if ended:
                told.name = " ".join(text[w.start : w.end] for w in words[at:ended])
                told.end = ended
            return told
    told.at = min(len(words), mark.end + 14)
    return told


def _describes(word: Token, at: int, told: _Told) -> bool:
    """Take a word that describes a horse or leads on to its name; false for any other."""
    if word.norm in COLOURS:
        if told.details.get("colour", word.norm) != word.norm:
            told.replaced = (at, at + 1)
        told.details["colour"] = word.norm
    elif word.norm in SEXES:
        told.details["sex"] = word.norm
    elif word.norm not in _TYPES:
        leads = word.norm in _LINK or word.sort in ("comma", "pause") or word.norm == "sorry"
        return leads or (word.norm == "no" and bool(told.details))
    told.end = at + 1
    return True


def _too_weak(words: Sequence[Token], mark: Mark, told: _Told, text: str) -> bool:
    """Whether "this", "on", "doing" stand before no name that is known or typed as one."""
    if told.known or "sex" in told.details or _titled(text, words, told.at):
        return False
    return words[mark.start].norm not in _LEADS_TO_NAME or told.at > mark.end + 1


def _described(
    words: Sequence[Token], end: int, meaningful: set[int]
) -> tuple[int, dict[str, str]]:
    """Colour and sex said after a name ("Ranger, palomino gelding"); a white line is no colour."""
    details: dict[str, str] = {}
    last = at = end
    while at < len(words) and at - end < 8:
        word = words[at]
        breed = word.norm in _TYPES and [w.norm for w in words[at + 1 : at + 2]] == ["horse"]
        if at in meaningful and not breed:
            break
        if word.norm in COLOURS:
            details["colour"] = word.norm
        elif word.norm in SEXES:
            details["sex"] = word.norm
        elif word.norm not in _TYPES | {"a", "the", "she", "he", "'s", "is"} and word.sort not in (
            "comma",
            "pause",
        ):
            break
        at += 1
        if word.norm in COLOURS | SEXES:
            last = at
    return (last, details) if details else (end, {})


def _titled(text: str, words: Sequence[Token], at: int) -> bool:
    return at < len(words) and text[words[at].start : words[at].start + 1].isupper()


def _bare_name(
    words: Sequence[Token], at: int, text: str, meaningful: Set[int] = frozenset()
) -> int:
    """One past the last word of an unlisted name at ``at``; 0 if no name stands there."""
    word = words[at]
    if word.norm in _NEVER or not word.norm.isalpha() or len(word.norm) < 2:
        return 0
    if not text[word.start].isupper():
        return at + 1 + _goes_on(words, at, meaningful)
    end = at + 1
    while (
        end < len(words)
        and words[end].sort == "word"
        and text[words[end].start].isupper()
        and words[end].norm.isalpha()
        and words[end].norm not in _NEVER
        and end - at < 3
    ):
        end += 1
    return end


def _goes_on(words: Sequence[Token], at: int, meaningful: Set[int]) -> bool:
    """Whether the next word belongs to a name without capitals, as a recogniser writes it: "lady
    jane". Only a title tells: behind other names the next word may be of anything."""
    behind = at + 1
    if behind >= len(words) or behind in meaningful or words[behind].sort != "word":
        return False
    second = words[behind].norm
    if not second.isalpha() or second in _NEVER | _TITLES["never_second"] | COLOURS | SEXES | _LINK:
        return False
    first = words[at].norm
    may = first in _TITLES["also_names"] and second not in vocabulary()
    return may or first in _TITLES["always"]


def mention(opening: Opening, words: Sequence[Token]) -> HorseMention:
    """The mention with character spans."""
    return HorseMention(
        name=opening.name,
        span=(words[opening.start].start, words[opening.end - 1].end),
        details=dict(opening.details),
        known=opening.known,
    )
