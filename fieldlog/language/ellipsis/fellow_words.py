"""What is said of one more foot without any amount: another one, the same, the other side.

"Another on the left front", "so has the right", "and in the outside heel of the right fore",
"leather left, plastic right": the thing is the one just named, and a head is made for its fellow.
"""

from __future__ import annotations

from functools import cache

from fieldlog.language.ellipsis.sentence import TO_FOOT, WHERE, Sentence
from fieldlog.language.lexicon import read_data
from fieldlog.language.words.marks import Mark

_TO_PLACE = frozenset({"in", "on", "at", "the", "along", "round", "around", "down", "of", "near"})
_UP = frozenset({"up", "raised", "elevated", "there"})
SAME_WHAT = frozenset({"place", "spot", "thing", "story", "deal", "job", "way", "again"})


def also_before(said: Sentence, foot: Mark) -> tuple[int, int] | None:
    """The words of "so has the right", "ditto the near fore", "also in the right"."""
    at = foot.start - 1
    while said.line.norm(at) in TO_FOOT - {"so"} and at > said.begin:
        at -= 1
    word = said.line.norm(at)
    if said.line.norm(at - 1) == "same" and word in SAME_WHAT and said.placed(foot, at + 1):
        return at - 1, at + 1
    if word in ("ditto", "likewise"):
        return at, at + 1
    if word == "also" and said.placed(foot, at + 1):
        return at, at + 1
    if word in ("has", "does", "is", "did", "do", "have", "are") and said.line.norm(at - 1) in (
        "so",
        "as",
    ):
        return at - 1, at + 1
    return None


def same_behind(said: Sentence, foot: Mark) -> bool:
    """ "Off hind same again", "in the hinds it hasn't changed"."""
    pronoun = said.line.norm(foot.end) in ("it", "they", "is", "are", "'s")
    same = next((m for m in said.marks if m.code == "same" and m.start == foot.end + pronoun), None)
    if same is None or same.kind != "role" or said.line.norm(same.end) in ("as", "than"):
        return False
    same.kind = "change"
    foot.tags.add("looks_forward")
    return True


def another(said: Sentence, foot: Mark) -> bool:
    """ "Another on the left front", "and one in the off fore at the quarter"."""
    at = said.lead(foot)
    if not said.placed(foot, at + 1):
        return False
    if said.line.norm(at) in ("starting", "coming", "beginning", "forming", "developing"):
        at -= 1
    begin = at
    if said.line.norm(at) == "one" and said.line.norm(at - 1) in ("another", "other"):
        begin -= 1
    before = said.line.norm(begin - 1)
    tags = {"new"} if before == "new" else set()
    if tags:
        before = "and"
    lone = before in ("the", "and", "also", "plus", "got", "'s", "is") or said.line.break_at(
        begin - 1
    )
    plenty = said.line.norm(at) in ("plenty", "some", "loads", "lots")
    pulses = [m for m in said.marks if m.kind == "finding" and m.end <= at]
    if pulses and "pulse" in pulses[-1].code and said.line.norm(at) in _UP:
        plenty = True  # "bounding in the left front, up in the right"
    if plenty or said.line.norm(begin) == "another" or (said.line.norm(at) == "one" and lone):
        said.make(Mark("change", "again", begin, at + 1, tags=tags), foot)
        return True
    return False


def is_so(said: Sentence, source: Mark, foot: Mark) -> bool:
    """ "Neither front is sore, both hinds are": what is denied before is so here."""
    so = said.line.norm(foot.end) in ("is", "are", "was", "were", "has", "have", "does", "did")
    at = foot.end + 1
    if not so or not (said.line.break_at(at) or said.line.norm(at) in ("and", "but", "though")):
        return False
    denied = any(
        m.code in ("negation", "negation_after")
        or (m.kind == "foot" and said.line.norm(m.start) in ("neither", "none"))
        for m in said.marks
        if m.start < source.end + 3 and m.end <= foot.start
    )
    if denied:
        said.make(Mark("change", "again", foot.end, at), foot)
    return denied


def has_one(said: Sentence, foot: Mark) -> bool:
    """ "The other front has one starting", "right front one at the toe"."""
    at = foot.end
    while said.line.norm(at) in ("has", "'s", "had", "got", "also", "even"):
        at += 1
    led = at > foot.end
    begin = at
    if said.line.norm(at) in ("another", "a") and said.line.norm(at + 1) in ("one", "smaller"):
        at += 1 + (said.line.norm(at + 1) == "smaller")
    if said.line.norm(at) != "one":
        return False
    after = said.line.norm(at + 1)
    begun = after in ("starting", "coming", "beginning", "forming", "developing")
    closes = led and (said.line.break_at(at + 1) or after in ("too", "also", "and", "but"))
    placed = after in ("at", "on", "in") and any(
        m.kind in WHERE and 0 <= m.start - at - 2 <= 1 for m in said.marks)  # fmt: skip
    if not (begun or closes or placed):
        return False
    said.make(Mark("change", "again", begin, at + 1 + begun), foot)
    return True


def elsewhere(said: Sentence, foot: Mark) -> bool:
    """ "And in the outside heel of the right fore": the same thing at another place."""
    at = foot.start
    while said.line.norm(at - 1) in TO_FOOT and at - 1 > said.begin:
        at -= 1
    chain: list[Mark] = []
    for mark in reversed([m for m in said.marks if m.kind in WHERE]):
        if mark.end == (chain[-1].start if chain else at):
            chain.append(mark)
    if chain:
        begin = chain[-1].start
        back = begin
        while said.line.norm(back - 1) in _TO_PLACE:
            back -= 1
        if said.line.norm(back - 1) != "and":
            return False
    else:
        after = [m for m in said.marks if m.start == foot.end and m.kind in WHERE]
        if not after or said.line.norm(at - 1) != "and" or not said.placed(foot, at):
            return False
        begin = after[0].start
    said.make(Mark("change", "again", begin, begin), foot)
    return True


def told_apart(said: Sentence, source: Mark, foot: Mark, earlier: list[Mark], led: bool) -> bool:
    """ "Flare in front, left outside, right inside", "leather left, plastic right"."""
    if not earlier or earlier[-1].code == foot.code:
        return False
    if "+" in foot.code and {*foot.code.split("+")} & {*earlier[-1].code.split("+")}:
        return False
    begun = any("apart" in m.tags for m in said.marks)
    jobs = [m for m in said.marks if m.kind == "work" and m.end <= foot.start]
    materials = [m for m in said.marks if m.kind == "role" and m.code == "material"]
    named = {said.line.text(m) for m in materials}
    named |= _materials() & {said.line.norm(i) for m in jobs[-1:] for i in m.covers()}
    if jobs and (source is jobs[-1] or begun) and len(named) > 1:
        before, after = _beside(said, foot, materials)
        aside = after if led and after else before or after
    elif source.kind == "finding" or (source.kind == "change" and begun):
        where = [m for m in said.marks if m.kind in WHERE and m.start >= jobs_end(jobs)]
        aside = _own_place(said, source, foot, earlier[-1], where, led)
    else:
        return False
    if not aside:
        return False
    behind = aside[0].start >= foot.end
    at = foot.end if behind else aside[0].start
    said.make(Mark("change", "again", at, at, tags={"apart"}), foot)
    foot.tags -= {"looks_back", "looks_forward"}
    foot.tags.add("looks_forward" if behind else "looks_back")
    return True


def _own_place(
    said: Sentence, source: Mark, foot: Mark, left: Mark, where: list[Mark], led: bool
) -> list[Mark]:
    """The places that are said of this foot, as others were of the foot before.

    "Lateral on the left front, medial on the right", "left front at the toe, right front at
    the heel".
    """
    before, after = _beside(said, foot, where)
    if led:
        return after
    if "+" in left.code + foot.code or said.claimed(foot) or source.end > left.start:
        return []
    one, two = _beside(said, left, where)
    if one and before and said.placed(foot, before[-1].end):
        return before
    return after if two else []


def _beside(said: Sentence, foot: Mark, told: list[Mark]) -> tuple[list[Mark], list[Mark]]:
    """Those of the marks that stand right before and right behind a foot."""
    before: list[Mark] = []
    low = foot.start
    for mark in reversed(told):
        if mark.end <= low and said.between(mark.end, low, TO_FOOT):
            before.insert(0, mark)
            low = mark.start
    after: list[Mark] = []
    high = foot.end
    for mark in told:
        if mark.start >= high and said.between(high, mark.start, _TO_PLACE):
            after.append(mark)
            high = mark.end
    return before, after


@cache
def _materials() -> frozenset[str]:
    """What shoes and pads are made of."""
    row = next(r for r in read_data("context")["role"] if r["id"] == "material")
    return frozenset(word for form in row["forms"] for word in form.strip("()").split("|"))


def jobs_end(jobs: list[Mark]) -> int:
    """Where the last of the jobs ends; 0 if there is none."""
    return max((m.end for m in jobs), default=0)
