"""One more of what was just found, at a place of its own: "a bruise at the toe, right hind one at
the heel". The word "one" is its head then."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.lexicon import find_item
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import Line

_CRACKS = frozenset({"crack", "toe_crack", "quarter_crack", "heel_crack", "grass_crack",
                     "sand_crack"})  # fmt: skip
_CRACK_AT = {"toe": "toe_crack", "quarter": "quarter_crack", "heel": "heel_crack"}
_SEVERAL = _CRACKS | {"bruise", "corn", "flare", "wound", "hollow", "seedy_toe", "soft_spot",
                      "scar", "white_line_separation", "wall_broken", "wall_separation",
                      "abscess_track"}  # fmt: skip
"""Of which a foot may have one at one place and another at another."""
_TO_PLACE = frozenset({"at", "in", "on", "near", "over", "the", "his", "her", "inside", "outside",
                       "medial", "lateral", "inner", "outer"})  # fmt: skip
_LEADS = frozenset({"has", "and", "with", "another", "also", "got", "'s", ",", "is"})


def with_ones(line: Line, marks: Sequence[Mark]) -> list[Mark]:
    """The marks with a head for each such "one"."""
    out = list(marks)
    for at in range(1, len(line.words)):
        if line.norm(at) != "one":
            continue
        holder = next((m for m in marks if m.holds(at)), None)
        found = _found_before(line, marks, at)
        if found is None or not _may_be_one(line, holder, at):
            continue
        told = next((m for m in marks if m.start == at + 1 and m.code in _CRACKS), None)
        if told is not None and found.code in _CRACKS and holder is not None:
            # "has one at the toe", which a network hears to be a toe crack
            out = [m for m in out if m is not holder or m.kind != "change"]
            continue
        place = _place_behind(line, marks, at)
        if place is None:
            continue
        code = _CRACK_AT.get(place.code, "crack") if found.code in _CRACKS else found.code
        if holder is not None and holder.kind == "foot":
            holder.end = at
        elif holder is not None:
            out.remove(holder)
        out.append(Mark("finding", code, at, at + 1, find_item(code, "finding")))
    return in_order(out)


def _may_be_one(line: Line, holder: Mark | None, at: int) -> bool:
    if holder is None or holder.kind in ("count", "number"):
        return line.norm(at - 1) in _LEADS or line.break_at(at - 1)
    if holder.kind == "foot":
        return holder.end == at + 1 and holder.size > 1
    return holder.kind == "change" and holder.code == "same" and holder.end == at + 1


def _found_before(line: Line, marks: Sequence[Mark], at: int) -> Mark | None:
    """The finding that stands last before, in this sentence or at the end of the one before."""
    heads = [m for m in marks if m.kind in ("finding", "work", "followup") and m.end <= at]
    last = heads[-1] if heads else None
    if last is None or last.code not in _SEVERAL or at - last.end > _FAR:
        return None
    if all(line.norm(i) in _OF_ITS_FOOT for i in range(last.end, at)):
        return None  # "a bruise on the left one at the toe"
    return last if any(m.kind == "foot" and m.end <= at + 1 for m in marks) else None


_OF_ITS_FOOT = frozenset({"on", "in", "of", "the", "his", "her", "left", "right", "near", "off",
                          "front", "fore", "hind", "back"})  # fmt: skip
_FAR = 12


def _place_behind(line: Line, marks: Sequence[Mark], at: int) -> Mark | None:
    """The place that follows, unless another finding is of that place."""
    place = next((m for m in marks if m.kind == "place" and m.start > at), None)
    if place is None or not all(line.norm(i) in _TO_PLACE for i in range(at + 1, place.start)):
        return None
    later = [m for m in marks if m.kind in ("finding", "work", "value") and m.start >= place.end]
    if place.start == at + 1 or any(
        not any(line.break_at(i) for i in range(place.end, m.start)) for m in later[:1]
    ):
        return None
    return place
