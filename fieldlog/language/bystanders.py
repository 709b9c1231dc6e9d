"""What is said of people, things and other animals is no finding: "coffee's hot", "my knee's sore".

A finding, a manner or a good word whose subject is none of the horse loses its meaning here, before
clauses are built; its words stay as a passage.
"""

from __future__ import annotations

from fieldlog.language.lexicon import word_set
from fieldlog.language.marks import Mark
from fieldlog.language.units_said import COPULAS, Line

_OTHERS = word_set("bystanders")
_MINE = word_set("parts_of_people")
_BETWEEN = COPULAS | word_set("links_to_a_subject")
_OF_ME = frozenset({"sore", "wound", "heat", "lameness", "bleeding", "crack", "bruise", "swelling",
                    "nervous", "lost_patience", "sleepy"})  # fmt: skip

_I_SEE = frozenset({"have", "had", "'ve", "got", "find", "found", "see", "'d", "felt", "saw"})


def without_bystanders(line: Line, marks: list[Mark]) -> list[Mark]:
    """The marks without findings and manners of bystanders."""
    small = {
        i
        for m in marks
        if m.kind == "role" and m.code in ("copula", "adverb", "mild", "severe", "moderate")
        for i in m.covers()
    }
    return [m for m in marks if not (_may_be(m) and _of_another(line, m, small))]


def _may_be(mark: Mark) -> bool:
    return mark.kind in ("finding", "handling") or mark.code == "good_word"


def _of_another(line: Line, mark: Mark, small: set[int]) -> bool:
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
    return line.norm(end) in ("my", "your") and line.norm(end + 1) in _MINE | _OTHERS
