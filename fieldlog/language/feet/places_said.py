"""Where on the hoof: the place words of one unit, inside and outside joined to their region."""

from __future__ import annotations

from itertools import pairwise

from fieldlog.language.feet.feet_named import INNER_FEET, spoken_feet
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_REGIONS = (
    ("seat_of_corn", ("corn",)),
    ("quarter", ("quarter_crack",)),
    ("toe", ("toe_crack", "long_toe", "seedy_toe")),
    (
        "heel",
        (
            "heel_crack",
            "low_heel",
            "high_heel",
            "underrun",
            "crushed_heel",
            "sheared_heel",
            "contracted_heel",
            "lower_heel",
            "raise_heel",
            "float_heel",
            "heel_length",
            "heel_angle",
            "heel_height",
        ),
    ),
    ("bar", ("folded_bar", "pare_bar")),
    ("sole", ("thin_sole", "flat_sole", "retained_sole", "dropped_sole", "pare_sole")),
    ("wall", ("wall_separation",)),
)
REGION_OF = {code: region for region, codes in _REGIONS for code in codes}


_BESIDE_FROG = {"sulcus": "collateral_sulcus", "central_sulcus": "collateral_sulcus"}
"""The grooves that have an inside and an outside are those beside the frog."""
_BESIDE = frozenset({"beside", "alongside"})


def _after_than(line: Line, mark: Mark) -> bool:
    """A place that is only compared with ("higher than the outside")."""
    return "than" in (line.norm(mark.start - i) for i in (1, 2, 3))


def _behind_not(line: Line, mark: Mark) -> bool:
    """ "On the outside, not the inside", "at the toe, not at the heel": where it is not."""
    at = mark.start - 1
    while line.norm(at) in ("the", "his", "her", "at", "on", "in"):
        at -= 1
    return line.norm(at) == "not"


_INSIDE = {
    "toe": "toe", "toes": "toe", "quarter": "quarter", "quarters": "quarter", "heel": "heel",
    "heels": "heel", "sole": "sole", "soles": "sole", "frog": "frog", "frogs": "frog",
    "bar": "bar", "bars": "bar", "bulb": "heel_bulb", "bulbs": "heel_bulb", "coronet": "coronet",
    "hairline": "coronet", "pastern": "pastern", "pasterns": "pastern",
    "splint": "cannon", "cannon": "cannon", "wall": "wall", "walls": "wall",
    "dorsal": "dorsal_wall", "central": "central_sulcus", "collateral": "collateral_sulcus",
}  # fmt: skip
_NOT_OF = {
    "thrush": ("frog",), "dish": ("toe", "wall"), "flare": ("wall", "toe"), "overgrown": ("toe",),
    "axis_broken_back": ("pastern",), "axis_broken_forward": ("pastern",),
    "axis_broken": ("pastern",), "axis_straight": ("pastern",), "crack": ("wall",),
    "underrun": ("heel",), "navicular": ("heel",), "toed_in": ("toe",), "toed_out": ("toe",),
    "stumbling": ("toe",), "growth_rings": ("wall",), "mismatched": ("heel",),
    "white_line_separation": ("wall", "sole"), "shoe_pressure": ("sole",), "hollow": ("wall",),
    "imbalance": ("wall",), "dry_horn": ("wall", "sole"), "not_weight_bearing": ("toe",),
    "shifting_weight": ("toe", "heel"), "distortion": ("coronet",), "wall_separation": ("sole",),
    "overreach": ("heel", "quarter"), "sheared_heel": ("heel_bulb",),
    "lameness": ("toe",), "interference": ("heel",), "tester_positive": (), "forging": ("toe",),
}  # fmt: skip
"""Places that a finding's own words may name without telling where it is."""


_OF_WHITE_LINE = frozenset({"seedy_toe", "wall_separation"})


def _inner(line: Line, unit: UnitSaid) -> list[Mark]:
    """Places named within the words of a finding: "(worn thin at the) toe"."""
    if unit.head.kind != "finding":
        return []
    out: list[Mark] = []
    silent = (*_NOT_OF.get(unit.head.code, ()), REGION_OF.get(unit.head.code, ""))
    for at in sorted(unit.head.covers()):
        region = _INSIDE.get(line.norm(at), "")
        if region == "heel" and line.norm(at + 1) in ("bulb", "bulbs"):
            continue
        if line.norm(at) == "hairline" and line.norm(at + 1) in ("crack", "cracks", "split"):
            continue  # a thin one
        if region == "frog" and {line.norm(i) for i in range(at - 2, at)} & _BESIDE:
            region = "collateral_sulcus"
        if line.norm(at) == "white" and line.norm(at + 1) in ("line", "zone"):
            region = "" if unit.head.code in _OF_WHITE_LINE else "white_line"
        if region and region not in silent and region not in unit.head.code:
            out.append(Mark("place", region, at, at + 1))
    return out


def places_of(line: Line, unit: UnitSaid) -> tuple[str, ...]:
    """Places said in a unit; inside and outside are joined to their region."""
    head = unit.head
    if head.kind in ("handling", "advice") or head.code in _NOWHERE:
        return ()
    if head.code == "clips":
        return _of_clips(line, unit)
    said = {line.norm(i) for i in head.covers()}
    if head.code in ("set_back_toe", "rocker_toe"):
        return ("breakover",) if said & {"breakover", "break"} else ()
    out = _with_sides(head, _place_marks(line, unit))
    if head.kind in ("finding", "work"):
        out = _side_in_head(head, said, out)
    if head.code == "leave_alone":
        named = {word.removesuffix("s") for word in said}
        out += [region for region in ("bar", "sole", "frog", "heel", "toe") if region in named]
    implied = _implied(head, out)
    out = _of_both_sides(line, unit, _grooves(line, unit, said, out))
    allowed = _ONLY_AT.get(head.code, ("",))
    return tuple(p for p in dict.fromkeys(out) if p not in implied and p.endswith(allowed))


def _of_clips(line: Line, unit: UnitSaid) -> tuple[str, ...]:
    """ "Toe clips", "clips at the quarters"."""
    head = unit.head
    said = {line.norm(i).removesuffix("s") for i in head.covers()}
    if line.norm(head.end) in ("at", "on", "each", "either", "drawn", "side", "of"):
        said |= {m.code for m in unit.marks() if 0 < m.start - head.end <= 4}
    return tuple(place for place in ("toe", "quarter") if place in said)


def _place_marks(line: Line, unit: UnitSaid) -> list[Mark]:
    """The places, sides and hours of a unit in their order, without those of another foot."""
    low, cut = _clause_of_its_own(line, unit), _next_foot(line, unit)
    marks = [
        m
        for m in [*unit.marks(), *_inner(line, unit)]
        if m.kind in ("place", "side", "clock")
        and not _after_than(line, m)
        and not _behind_not(line, m)
        and low <= m.start < cut
    ]
    return sorted(marks, key=lambda m: m.start)


def _next_foot(line: Line, unit: UnitSaid) -> int:
    """Where a foot begins behind the head that the unit is not of."""
    told = {id(m) for m in spoken_feet(line, unit)}
    own = [m for m in unit.feet() if id(m) in told]
    led = all(m.end <= unit.head.start for m in own)
    last = max((m.end for m in own), default=0)
    strange = [
        m.start
        for m in unit.feet()
        if (led or m.start > last + 2 > 2) and id(m) not in told and m.start >= unit.head.end
    ]
    return min(strange, default=unit.end + 1)


def _with_sides(head: Mark, marks: list[Mark]) -> list[str]:
    """Inside and outside joined to the region beside them, or to the head's own."""
    out: list[str] = []
    used: set[int] = set()
    regions = [m for m in marks if m.kind == "place"]
    for side in [m for m in marks if m.kind == "side"]:
        near = [m for m in regions if id(m) not in used and _beside(side, m)]
        near.sort(key=lambda m: (abs(m.start - side.end), m.start))
        if near and near[0].code not in ("hoof", "leg"):
            used |= {id(near[0]), id(side)}
            out.append(_sided(side, near[0]))
    sides = [m for m in marks if m.kind == "side" and id(m) not in used]
    free = [m for m in regions if id(m) not in used and m.code not in ("hoof", "leg", "white_line")]
    if len(sides) == 1 and len(free) == 1:
        out.append(_sided(sides[0], free[0]))
        used |= {id(sides[0]), id(free[0])}
    own = REGION_OF.get(head.code, "")
    for mark in marks:
        if id(mark) in used:
            continue
        if mark.kind == "side":
            out.append(f"{mark.code}_{own}" if own else mark.code)
        elif mark.code != "hoof":
            out.append(mark.code)
    return out


def _beside(side: Mark, region: Mark) -> bool:
    return 0 <= region.start - side.end <= 2 or 0 <= side.start - region.end <= 2


def _sided(side: Mark, region: Mark) -> str:
    return f"{side.code}_{_BESIDE_FROG.get(region.code, region.code)}"


def _side_in_head(head: Mark, said: set[str], out: list[str]) -> list[str]:
    """ "Lowered the outside heel": a side that the head's own words name."""
    if "than" in said:
        return out
    side = "medial" if said & {"inside", "medial"} else ""
    side = "lateral" if said & {"outside", "lateral"} else side
    if not side or any(place.startswith(("medial", "lateral")) for place in out):
        return out
    region = next((place for place in out if place in ("heel", "quarter", "toe")), "")
    region = region or REGION_OF.get(head.code, "")
    rest = [place for place in out if place != region]
    return [*rest, f"{side}_{region}" if region else side]


def _implied(head: Mark, out: list[str]) -> set[str]:
    """Places that the head says already, or that only tell how far it goes."""
    implied = {REGION_OF.get(head.code, "")}
    if any("sulcus" in place for place in out):
        implied.add("frog")  # "the groove of the frog"
    if head.kind == "finding" and head.code.startswith("white_line"):
        implied.add("white_line")
    if head.code == "growth_rings" and "heel" in out:
        implied.add("toe")  # "wider at the heel than they are at the toe"
    if "crack" in head.code:
        implied.add("coronet")  # how far it goes, or how fine it is
    if head.code == "folded_bar":
        implied.add("sole")
    return implied


def _grooves(line: Line, unit: UnitSaid, said: set[str], out: list[str]) -> list[str]:
    """Which groove is deep, or has thrush: the middle one, unless one beside the frog was said."""
    head = unit.head
    if head.code == "deep_sulcus" and not any("collateral" in place for place in out):
        return ["central_sulcus"] if said & _ONE_GROOVE or "central_sulcus" in out else out
    if head.code == "thrush" and not any("sulcus" in place for place in out):
        words = {line.norm(i) for i in range(head.end, min(unit.end, head.end + 8))}
        return [*out, "central_sulcus"] if words & {"middle", "centre", "center"} else out
    return out


def _of_both_sides(line: Line, unit: UnitSaid, out: list[str]) -> list[str]:
    """ "Broken off at both quarters", "flared, both sides": the inside one and the outside one."""
    if any(place.startswith(("medial", "lateral")) for place in out):
        return out
    words = [line.norm(i) for i in range(unit.start, unit.end)]
    said = {*pairwise(words)}
    if ("both", "quarters") in said and "quarter" in out:
        region = "quarter"
    elif said & _TWO_SIDES and unit.head.code in _AT_BOTH:
        own = REGION_OF.get(unit.head.code, "wall")
        region = next((place for place in out if place in _WITH_SIDES), own)
    else:
        return out
    rest = [place for place in out if place != region]
    return [*rest, f"medial_{region}", f"lateral_{region}"]


_TWO_SIDES = frozenset({("both", "sides"), ("either", "side"), ("each", "side"), ("both", "side")})
_WITH_SIDES = frozenset({"quarter", "heel", "heel_bulb", "bar", "collateral_sulcus", "wall"})
_AT_BOTH = frozenset({"flare", "dress_flare", "folded_bar", "pare_bar", "heel_length",
                      "heel_height", "sidebone", "crushed_heel", "lower_heel", "clench_risen",
                      "wall_broken", "underrun", "low_heel"})  # fmt: skip
"""What has an inside and an outside on each foot, and is told of both at once."""
_ONLY_AT = {
    "dish": ("toe", "dorsal_wall"), "pare_bar": ("l_bar",), "lower_heel": ("heel", "al"),
    "float_heel": ("heel", "quarter"), "high_heel": ("heel",),
}  # fmt: skip
"""Where alone these can be: other places beside them tell how, or of something else."""


_NOWHERE = frozenset({"toe_crack", "balance", "toed_in", "toed_out",
                      "axis_broken_back", "axis_broken_forward", "axis_broken", "axis_straight",
                      "pare_frog", "trim", "mustang_roll", "seal", "roll_toe", "pad",
                      "pour_in", "shorten_toe", "barefoot", "wedge", "boot", "wrap",
                      "poultice", "contracted_heel", "frog_atrophy", "flat_sole",
                      "long_toe", "clubby", "short_strided", "lameness", "stumbling",
                      "toe_first", "shoe_lost", "forging", "digital_pulse",
                      "not_weight_bearing", "mismatched", "event_line"})  # fmt: skip
"""These are of the whole foot, or their code says where: places beside them tell of their shape."""
_ONE_GROOVE = frozenset({"crease", "crevice", "bulbs", "middle", "central", "center", "centre"})


def _clause_of_its_own(line: Line, unit: UnitSaid) -> int:
    """ "Right front has gravel in the white line and his hinds are fine": where the hinds begin."""
    joints = [m for m in unit.roles("joint", "starter") if m.end <= unit.head.start]
    joints = [m for m in joints if line.norm(m.start) in ("and", "but", "so")]
    if not joints:
        return 0
    begin = joints[-1].end
    own = any(m.start >= begin and m.end <= unit.head.start for m in unit.feet())
    placed = line.norm(begin) in ("in", "on", "of", "at")
    inner = line.norm(unit.head.start) in INNER_FEET
    return begin if (own or inner) and not placed else 0
