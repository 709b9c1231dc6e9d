"""What is said of people, things and other animals is no finding: "coffee's hot", "my knee's sore".

A finding, a manner or a good word whose subject is none of the horse loses its meaning here, before
clauses are built; its words stay as a passage.
"""

from __future__ import annotations

from fieldlog.language.lexicon import word_set
from fieldlog.language.senses.only_talk import without_talk
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import COPULAS, Line

_OTHERS = word_set("bystanders")
_MINE = word_set("parts_of_people")
_BETWEEN = COPULAS | word_set("links_to_a_subject")
_OF_ME = frozenset({"sore", "wound", "heat", "lameness", "bleeding", "crack", "bruise", "swelling",
                    "nervous", "lost_patience", "sleepy", "shifting_weight",
                    "stumbling"})  # fmt: skip

_DETERMINERS = frozenset({"a", "the", "his", "her", "its", "that"})
_I_SEE = frozenset({"have", "had", "'ve", "got", "find", "found", "see", "'d", "felt", "saw"})


def without_bystanders(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks without findings and manners of bystanders, and without mere talk of them."""
    marks = without_talk(line, marks)
    small = {
        i
        for m in marks
        if m.kind == "role" and m.code in ("copula", "adverb", "mild", "severe", "moderate")
        for i in m.covers()
    }
    kept = [m for m in marks if not (_may_be(m) and _of_another(line, m, small, marks))]
    return _looked_for(line, kept)


def _looked_for(line: Line, marks: list[Mark]) -> list[Mark]:
    """ "Checked for heat and pulses": looked for is not found; with "none" it is denied."""
    out: list[Mark] = []
    dropped: Mark | None = None
    for mark in marks:
        if mark.kind == "finding":
            at = mark.start - 1
            while line.norm(at) in ("any", "a", "the", "some", "more"):
                at -= 1
            looked = line.norm(at) == "for" and (
                line.norm(at - 1) in _LOOKED
                or (line.norm(at - 1) == "out" and line.norm(at - 2) in _LOOKED | {"eye", "eyes"})
            )
            listed = dropped is not None and line.norm(at) in ("and", "or", ",")
            if looked or (listed and dropped is not None and at - dropped.end <= 1):
                end = next((r[1] for r in line.sentences() if r[0] <= mark.start < r[1]), mark.end)
                rest = {line.norm(i) for i in range(mark.end, end)}
                found = rest & {"found", "got"}
                if rest & {"none", "nothing", "nil", "no"}:
                    out = [m for m in out if not m.holds(at)]
                    out.append(Mark("role", "negation", at, at + 1))
                elif not found:
                    dropped = mark
                    continue
        out.append(mark)
    return out


_LOOKED = frozenset({"checked", "check", "checking", "looked", "look", "looking", "felt", "feel",
                     "feeling", "searched", "watch", "watching", "listen", "lookout",
                     "checks", "looks", "watched", "alert"})  # fmt: skip


def _may_be(mark: Mark) -> bool:
    return mark.kind in ("finding", "handling") or mark.code == "good_word"


def _of_another(line: Line, mark: Mark, small: set[int], marks: list[Mark]) -> bool:
    if mark.code == "shoe_lost" and line.norm(mark.end) == "of":
        return "shoes" not in (line.norm(mark.end + 1), line.norm(mark.end + 2))
    if mark.code == "shoe_lost" and line.norm(mark.end - 1) in _DETERMINERS:
        # "he's lost the off fore", not "the off fore's lost its heel nail"
        foot = any(m.kind == "foot" and m.start in (mark.end, mark.end + 1) for m in marks)
        return not foot and line.norm(mark.end) not in ("shoe", "plate", "shoes", "plates")
    if mark.code in _VERBS and _VERBS[mark.code](line, mark, marks):
        return True
    if mark.code in ("overreach", "shoe_sprung") and "my" in {line.norm(i) for i in mark.covers()}:
        return True
    at = mark.start - 1
    while at >= 0 and (at in small or line.norm(at) in _BETWEEN) and line.norm(at) not in _OTHERS:
        at -= 1
    word, before = line.norm(at), line.norm(at - 1)
    if line.norm(mark.start - 1) in ("the", "a", "an", "no", "any", "of"):
        word = ""
    linked = any(line.norm(i) in COPULAS for i in range(at + 1, mark.start))
    if word in _OTHERS and (linked or mark.code in ("bad_smell", "bit", "kicked")):
        # run together, "at the barn thrush" says two things
        return True
    if before in ("my", "your") and word in _MINE:
        return True
    if word == "i" and mark.code in _OF_ME and line.norm(at + 1) not in _I_SEE:
        return True
    end = mark.end
    while line.norm(end) in ("in", "on", "the", "from"):
        end += 1
    if mark.kind != "finding" or mark.code == "overreach":
        return False  # "kicked at my head" is told of the horse
    return line.norm(end) in ("my", "your") and line.norm(end + 1) in _MINE | _OTHERS


def _stone_bruise(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "Had a stone bruise": no stone."""
    return line.norm(mark.end) in ("bruise", "bruises", "bruising", "wall", "dust")


def _packed(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "Filled the rest with glue", "nail holes filled": the farrier's filler."""
    if line.norm(mark.end - 1) == "in" or line.norm(mark.end) == "in":
        # "the hole's filling in": horn
        lead = {line.norm(i) for i in range(mark.start - 16, mark.start)}
        if lead & {"hole", "plate", "crack", "wall", "chip", "cavity"}:
            return True
    if line.norm(mark.start) != "filled" or mark.size > 1:
        return False
    into = line.norm(mark.end) in (
        "the",
        "it",
        "with",
        "in",
        "that",
        "them",
        "those",
        "this",
        "and",
    )
    by_me = line.norm(mark.start - 1) in ("i", "'ve", "and", "we", "holes", "hole", "then", "crack")
    return into or by_me


def _weather(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "While it's warm": no foot was named yet, and "it" is the day; "shod, hot": the shoe."""
    lead = {line.norm(i) for i in range(mark.start - 9, mark.start)}
    if line.text(mark) == "hot" and lead & {"shod", "fitted"} and line.norm(mark.start - 1) == ",":
        return True
    it = line.norm(mark.start - 1) in ("'s", "is", "was") and line.norm(mark.start - 2) == "it"
    named = any(m.kind == "foot" and m.end <= mark.start for m in marks)
    return it and mark.size == 1 and not named


def _cutting(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "Had to re cut the clip seats": the farrier's knife."""
    verb = line.norm(mark.end) in _CUT_WHAT and line.norm(mark.start - 1) not in _A_CUT
    return mark.size == 1 and line.norm(mark.start) in ("cut", "tear", "slice", "nick") and verb


def _taken_off(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "Asked us to get the near hind shoe off"."""
    words = {line.norm(i) for i in mark.covers()}
    if line.norm(mark.end - 1) != "off" or not words & {"shoe", "plate", "shoes", "plates"}:
        return False
    if words & {"stays", "stay", "staying"} or (
        line.norm(mark.end) in ("and", ",") and line.norm(mark.end + 1) in _THEN_I
    ):
        return True
    before = line.norm(mark.start - 1)
    if before == "the":
        before = line.norm(mark.start - 2)
    if before in ("as", "once", "when", "with", "after", "till", "until", "before"):
        return True
    return any(line.norm(i) in _TAKE for i in range(mark.start - 4, mark.end - 2))


def _when_standing(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "When she stands square"."""
    return "when" in (line.norm(mark.start - 1), line.norm(mark.start - 2))


def _worn_short(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "He's worn them short on the road"."""
    return line.norm(mark.start) == "short" and line.norm(mark.start - 1) in _MADE_SHORT


def _a_horseshoe_nail(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "Put a fresh nail in the heel", "a wire cut": no object in the foot."""
    words = [line.norm(i) for i in sorted(mark.covers())]
    if "wire" in words and "cut" in {line.norm(i) for i in range(mark.start, mark.end)}:
        return True
    if "nail" not in words:
        return False
    before = {line.norm(i) for i in range(mark.start - 3, mark.start)} | set(words[:2])
    return bool(before & _DRIVEN)


def _a_measure(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "In two bites", "a handful of hoof"."""
    counted = line.norm(mark.start - 1) in ("two", "three", "few", "couple")
    return line.norm(mark.end) == "of" or (mark.size == 1 and counted)


def _at_the_belly(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "Kicking at his belly": nobody's shin."""
    ahead = {line.norm(i) for i in range(mark.end, mark.end + 4)}
    return bool(ahead & {"belly", "stomach", "flies", "stall", "door", "boards", "bucket"})


_OF_NO_FOOT = frozenset({"bars", "bar", "films", "weeks", "shoe", "shoes", "horse", "growth"})


def _on_the(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "A wear spot on the outside branch", "bars are fine": no praise of the foot."""
    at = mark.start - 1
    while line.norm(at) in COPULAS or line.norm(at) in ("all", "went", "just"):
        at -= 1
    if line.norm(at) in _OF_NO_FOOT or line.norm(mark.start) in _OF_NO_FOOT:
        return True
    if line.text(mark) in ("right as rain", "happy") and line.norm(at) in ("he", "she"):
        return True
    spot = line.text(mark) == "spot on" and line.norm(mark.end) in ("the", "his", "her", "it")
    return spot or (line.text(mark) == "sweet as" and line.norm(mark.end) == "pie")


def _a_noise(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "He jumped at the sound"."""
    return mark.size == 1 and line.norm(mark.start - 1) in ("the", "that", "this", "any", "no")


def _turned_out(line: Line, mark: Mark, marks: list[Mark]) -> bool:
    """ "Both horses turned out": in the field, not in the toes."""
    if line.norm(mark.start) not in ("turned", "turns", "turning"):
        return False
    at = mark.start - 1
    while line.norm(at) in ("is", "'s", "are", "both", "a", "bit", "slightly", "still"):
        at -= 1
    beside = any(m.kind in ("foot", "place") and m.end == at + 1 for m in marks)
    return not beside and line.norm(at) not in ("foot", "feet", "toes", "toe", "stands", "it")


_DRIVEN = frozenset({"put", "drove", "driven", "drive", "set", "use", "used", "fresh", "new",
                     "extra", "spare", "can", "could", "will", "'ll"})  # fmt: skip
_MADE_SHORT = frozenset({"them", "it", "worn", "wore", "cut", "left", "trimmed", "toes", "feet"})
_CUT_WHAT = frozenset(
    {"the", "it", "them", "his", "her", "that", "back", "off", "out", "down", "away"}
    | {"up", "some", "from", "short", "square"}
    | {"anything", "nothing", "this", "those", "more", "much", "too", "into"}
)
_A_CUT = frozenset(
    {
        "a", "the", "no", "any", "that", "small", "little", "deep", "bad", "wee", "nasty", "old",
        "fresh", "wire", "another", "got", "is", "'s", "was",
    }
)  # fmt: skip
_THEN_I = frozenset({"had", "dug", "opened", "pared", "found", "trimmed", "soaked", "tubbed",
                     "poulticed", "i", "looked", "cleaned", "left", "into", "foot"})  # fmt: skip
_TAKE = frozenset(
    {"left", "leave", "leaving", "kept", 
        "get", "getting", "take", "took", "taking", "pull", "pulling", "want", "wants", "wanted",
        "whip", "whipped", "pop", "popped",
    }
)  # fmt: skip
_VERBS = {
    "heat": _weather,
    "kicked": _at_the_belly,
    "normal": _on_the,
    "swelling": _packed,
    "stone_lodged": _stone_bruise,
    "wound": _cutting,
    "shoe_lost": _taken_off,
    "stood_well": _when_standing,
    "short_strided": _worn_short,
    "toed_out": _turned_out,
    "sound": _a_noise,
    "bit": _a_measure,
    "would_not_stand": _a_measure,
    "penetrating_object": _a_horseshoe_nail,
}
