"""What came off: "took half an inch off both front toes" is a job, and says which.

The thing named behind "off", or the one that was just spoken of, says whether it was toe, heel or
flare; "a quarter" before "off" is an amount and no region of the hoof.
"""

from __future__ import annotations

from fieldlog.core.units import Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS, Line

_IN_HAND = {"toe": "shorten_toe", "toe_length": "shorten_toe", "overgrown": "shorten_toe",
            "long_toe": "shorten_toe", "heel": "lower_heel", "heel_length": "lower_heel",
            "heel_height": "lower_heel", "high_heel": "lower_heel",
            "flare": "dress_flare"}  # fmt: skip


_JOBS = {"toe": "shorten_toe", "heel": "lower_heel", "flare": "dress_flare"}


def settle_taken_off(line: Line) -> list[Mark]:
    """ "Took half an inch off both front toes": what came off says which job it was."""
    _quarters_taken(line)
    gone: set[int] = set()
    for at, mark in enumerate(line.marks):
        if mark.kind == "work" and not _settled_job(line, at, mark):
            gone.add(id(mark))
    lowered = [*_side_lowered(line), *_off_feet(line)]
    verbs = {m.start for m in lowered}
    kept = [m for m in line.marks if id(m) not in gone and not verbs.intersection(m.covers())]
    return sorted([*kept, *lowered], key=lambda m: m.start)


# -- a quarter that is an amount ----------------------------------------------------------------


def _quarters_taken(line: Line) -> None:
    """Make numbers of the quarters that tell how much came off."""
    feet: set[int] | None = None
    for mark in line.marks:
        if mark.code != "quarter":
            continue
        if feet is None:
            feet = {m.start for m in line.marks if m.kind == "foot"}
        if not _is_amount(line, mark, feet):
            continue
        begin = mark.start - (line.norm(mark.start - 1) in _SO_MUCH)
        first, last = line.words[begin], line.words[mark.start]
        mark.number = mark.value = NumberSpan(
            first.start, last.end, 0.25, spoken="a quarter", form="fraction"
        )
        mark.kind, mark.code = "number", "number"


def _is_amount(line: Line, mark: Mark, feet: set[int]) -> bool:
    """Whether a quarter is a quarter of an inch, not a quarter of the hoof."""
    before, after = line.norm(mark.start - 1), line.norm(mark.end)
    if before in _SO_MUCH and _taken(line, mark, feet):
        return True
    beyond = line.norm(mark.end + 1)
    if line.break_at(mark.start - 1) and after == "off" and beyond in ("the", "both", "each"):
        return True
    listed = _listed_foot(line, mark.end) and _fraction_before(line, mark)
    return listed or _one_more_taken(line, mark)


def _listed_foot(line: Line, at: int) -> bool:
    """ "Three eighths near, quarter off": a foot whose amount stands before it."""
    return any(m.kind == "foot" and m.start == at and "looks_back" in m.tags for m in line.marks)


def _one_more_taken(line: Line, mark: Mark) -> bool:
    """ "Took half an inch off toe, quarter off heel", "and a quarter at the heel"."""
    if line.norm(mark.end) not in ("off", "at", "from"):
        return False
    if line.norm(mark.start - 1) in _OF_THE_WALL:
        return False
    if not any(line.norm(i) in ("heel", "heels", "toe") for i in range(mark.end, mark.end + 3)):
        return False
    return any(
        m.kind == "work" and m.code in _TOOK and 0 <= mark.start - m.start <= 12 for m in line.marks
    )


def _taken(line: Line, mark: Mark, feet: set[int]) -> bool:
    """Whether the words round "a quarter" tell that so much came off, or grew."""
    after = line.norm(mark.end)
    closes = after in ("", ",", ".", "|", "and", "so", "on", "but", "then")
    horn = after == "of" and line.norm(mark.end + 1) in ("toe", "heel", "heels", "sole", "wall")
    if after in ("off", "from") or horn or _back(line, mark, closes):
        return True
    foot = not feet.isdisjoint((mark.end, mark.end + 1))
    # "trimmed a quarter left front and five sixteenths right", or one more of a list of amounts:
    # "five sixteenths right front a quarter left hind"
    if foot and (line.norm(mark.start - 2) in _RASPED or _fraction_before(line, mark)):
        return True
    return (
        _grown(line, mark) or _its_own(line, mark, closes) or (closes and _off_its_foot(line, mark))
    )


def _back(line: Line, mark: Mark, closes: bool) -> bool:
    """ "Toe back a good quarter", "brought it down a quarter"."""
    lead = mark.start - 2 - (line.norm(mark.start - 2) in ("a", "an"))
    if line.norm(lead) in ("back", "down", "up") or _job_at(line, lead):
        return True
    region = ("outside", "inside", "heel", "heels", "toe", "toes", "it", "them")
    return closes and line.norm(mark.start - 2) in region


# -- which job ----------------------------------------------------------------------------------


def _settled_job(line: Line, at: int, job: Mark) -> bool:
    """Say of a job what came off; false if it is no job."""
    if job.code == "lower_heel" and _bars_in_hand(line, at):
        _be(job, "pare_bar")
    if job.code == "pull" and _no_iron(line, job):
        _be(job, "take_off")
        return True
    if job.code != "take_off" or (job.gap is None and job.size > 2):
        return True
    inside = range(*(job.gap or (0, 0)))
    counted = any(m.kind == "number" and m.start in inside for m in line.marks)
    if line.norm(job.start) == "got" and not counted:
        return False  # "got a crack each side off the toe"
    thing = next(
        (
            m
            for m in line.marks[at + 1 :]
            if m.start >= job.end
            and m.kind in ("place", "finding")
            and m.code in _JOBS
            and m.start - job.end <= 4
        ),
        None,
    )
    if thing is None:
        return _settled_by_what_was_told(line, at, job)
    _be(job, _JOBS[thing.code])
    thing.kind, thing.code = "role", "thing_taken"
    return True


def _settled_by_what_was_told(line: Line, at: int, job: Mark) -> bool:
    """ "Took the shoes off", "toes are long, took a quarter off": the thing is named before it."""
    iron = any(line.norm(i) in ("shoes", "shoe", "plates") for i in range(*(job.gap or (0, 0))))
    whole = not iron and _off_a_foot(line, job)
    code = "pull" if iron else _job_in_hand(line, at)
    if whole and code != "pull":
        code = _part_taken(line, job, code)
    if code:
        _be(job, code)
    elif whole:
        job.kind, job.code, job.item = "measure", "taken_off", None
        job.end, job.gap = job.start + 1, None
    return bool(code) or whole


def _be(job: Mark, code: str) -> None:
    job.code, job.item = code, find_item(code, "work")


def _its_own(line: Line, mark: Mark, closes: bool) -> bool:
    """ "Left toe back three eighths, right front | a quarter": the second foot's amount."""
    foot = any(m.kind == "foot" and m.end == mark.start - 1 for m in line.marks)
    return foot and closes and _fraction_before(line, mark)


def _off_its_foot(line: Line, mark: Mark) -> bool:
    """ "Off the left front | a quarter, off the right three eighths"."""
    foot = next((m for m in line.marks if m.kind == "foot" and m.end == mark.start - 1), None)
    if foot is None or line.norm(mark.start - 1) != "a":
        return False
    return "off" in (line.norm(foot.start - 1), line.norm(foot.start - 2))


def _grown(line: Line, mark: Mark) -> bool:
    """ "Grown a quarter since", "heels a quarter longer": so much, and no part of the hoof."""
    verb = line.norm(mark.start - 2) in ("grown", "grew", "gained", "lost", "dropped")
    return verb or line.norm(mark.end) in ("longer", "shorter", "taller", "deeper", "thicker")


def _job_at(line: Line, at: int) -> bool:
    """ "Shortened both hind toes | a quarter": the toes or heels that a job worked on end here."""
    jobs = [m for m in line.marks if m.kind == "work" and m.code in _CUT and m.start <= at]
    near = bool(jobs) and at - jobs[-1].end < 4
    return near and line.norm(at) in ("toe", "toes", "heel", "heels", "it", "them")


_CUT = frozenset({"shorten_toe", "lower_heel", "set_back_toe", "roll_toe"})


def _fraction_before(line: Line, mark: Mark) -> bool:
    """ "Three eighths near, quarter off": one more of a list of parts of an inch."""
    return any(
        m.kind == "number" and m.number.form == "fraction" and 0 < mark.start - m.end <= 5
        for m in line.marks
    )


_SO_MUCH = frozenset({"a", "another", "scant", "good", "bare", "shy", "full", "fat"})
_TOOK = frozenset({"take_off", "shorten_toe", "lower_heel"})
_OF_THE_WALL = frozenset({"the", "inside", "outside", "medial", "lateral", "that", "his", "her"})
_RASPED = frozenset({"trimmed", "rasped", "nipped", "took", "cut", "filed", "ground", "dropped"})


def _bars_in_hand(line: Line, at: int) -> bool:
    """ "Bars laid over on both fronts, took them down"."""
    mark = line.marks[at]
    things = [m for m in line.marks[:at] if m.kind == "place" or m.code == "folded_bar"]
    near = bool(things) and mark.start - things[-1].end <= 10
    it = {"it", "them", "that"} & {line.norm(i) for i in mark.covers()}
    return near and bool(it) and things[-1].code in ("bar", "folded_bar")


_UNDER_IT = frozenset({"pad", "pads", "wedge", "wedges", "cast", "casts", "wrap", "bandage",
                       "leather", "leathers"})  # fmt: skip
_IRON = frozenset({"shoe", "shoes", "plate", "plates", "glue", "boots"})


def _no_iron(line: Line, mark: Mark) -> bool:
    """ "Pad's torn, took it off": what was spoken of last is no shoe."""
    words = {line.norm(i) for i in mark.covers()}
    if not words & {"it", "them"} or "off" not in words:
        return False
    back = range(mark.start - 1, max(-1, mark.start - 15), -1)
    last = next((w for i in back if (w := line.norm(i)) in _UNDER_IT | _IRON), "")
    return last in _UNDER_IT


_EACH_OF = frozenset({"each", "of", "both", "every", "one", "them"})


def _off_a_foot(line: Line, mark: Mark) -> bool:
    """ "Took a quarter off the left front", "off the outside": so much of it, wherever it was."""
    if mark.gap is None:
        return False
    amount = [m for m in line.marks if m.kind == "number" and mark.gap[0] <= m.start < mark.gap[1]]
    sized = any(m.number.form == "fraction" or m.number.unit is not None for m in amount)
    at = mark.end
    while line.norm(at) in _EACH_OF:
        at += 1
    return sized and any(
        (m.kind in ("foot", "side") or m.code == "wall") and mark.end <= m.start <= at + 1
        for m in line.marks
    )


def _part_taken(line: Line, mark: Mark, job: str) -> str:
    """ "Off each front toe", "front toes are long, took eight mil off the left": the part's job."""
    at = mark.end
    while line.norm(at) in _EACH_OF:
        at += 1
    foot = next((m for m in line.marks if m.kind == "foot" and mark.end <= m.start <= at + 1), None)
    if foot is None:
        return ""
    named = [line.norm(i) for i in (*sorted(foot.covers()), foot.end)]  # "off the near | heel"
    words = {word.removesuffix("s") for word in named} & {"toe", "heel"}
    if words:
        return "shorten_toe" if "toe" in words else "lower_heel"
    lately = {line.norm(i).removesuffix("s") for i in range(mark.start - 24, mark.start)}
    sided = any(m.kind in ("side", "place") and 0 <= m.start - foot.end <= 2 for m in line.marks)
    return job if lately & {"toe", "heel"} and not sided else ""


_PARTS = frozenset({"toe", "toes", "heel", "heels"})


def _off_feet(line: Line) -> list[Mark]:
    """ "A quarter off the near, three eighths off the off": amounts that no verb takes."""
    jobs = [m for m in line.marks if m.kind == "work" and m.code in _CUT | _TOOK]
    out: list[Mark] = []
    for number in [m for m in line.marks if m.kind == "number"]:
        at = number.end
        foot = at + 1 + (line.norm(at + 1) in ("the", "his", "her", "each", "both"))
        sized = number.number.form == "fraction" or number.number.unit in (Unit.MM, Unit.INCH)
        off = line.norm(at) == "off" and foot > at + 1
        named = next((m for m in line.marks if m.kind == "foot" and m.start == foot), None)
        if not (sized and off) or named is None or line.norm(named.end) in _PARTS:
            continue
        taken = any(m.start <= at < m.end or 0 <= number.start - m.end <= 12 for m in jobs)
        if not taken:
            out.append(Mark("measure", "taken_off", at, at + 1))
    return out or _led_by_off(line)


def _led_by_off(line: Line) -> list[Mark]:
    """ "Off the near fore three mil, off the off fore five": the amount stands behind the foot."""
    out: list[Mark] = []
    numbers = {m.start: m.number for m in line.marks if m.kind == "number"}
    for foot in [m for m in line.marks if m.kind == "foot"]:
        off = foot.start - 1 - (line.norm(foot.start - 1) in ("the", "his", "her", "each", "both"))
        number = numbers.get(foot.end)
        if line.norm(off) != "off" or number is None or number.value > _MOST:
            continue
        begins = line.break_at(off - 1) or line.norm(off - 1) == "and"
        sized = number.form == "fraction" or number.unit in (Unit.MM, Unit.INCH)
        if begins and (sized or out):
            out.append(Mark("measure", "taken_off", off, off + 1))
    return out


_LOWERS = frozenset({"took", "brought", "lowered", "dropped", "rasped", "knocked", "taken",
                     "filed", "ground"})  # fmt: skip


def _side_lowered(line: Line) -> list[Mark]:
    """ "Took the outside down a sixteenth", "lowered the inside wall by three mil"."""
    out = []
    for side in line.marks:
        wall = side.code == "wall" and side.size == 2
        if side.kind != "side" and not wall:
            continue
        verb = side.start - 1
        while verb > side.start - 4 and line.norm(verb) not in _LOWERS:
            verb -= 1
        first = line.norm(verb)
        between = range(side.end, side.end + 8)
        number = next((m for m in line.marks if m.kind == "number" and m.start in between), None)
        if first not in _LOWERS or number is None or number.number.value > _MOST:
            continue
        words = [line.norm(i) for i in range(side.end, number.start)]
        told = [m for m in line.marks if verb < m.start < number.start and m.kind in HEADS]
        if ("down" in words or first == "lowered") and "heel" not in words and not told:
            out.append(Mark("measure", "taken_off", verb, verb + 1))
    return [*out, *_down_on_a_side(line)]


def _down_on_a_side(line: Line) -> list[Mark]:
    """ "Took four mil down on the outside", "an eighth down on the inside wall"."""
    out = []
    for number in line.marks:
        verb = number.start - 1
        if number.kind != "number" or line.norm(verb) not in _LOWERS:
            continue
        sided = any(m.kind == "side" and 0 <= m.start - number.end <= 4 for m in line.marks)
        if line.norm(number.end) == "down" and sided and number.number.value <= _MOST:
            out.append(Mark("measure", "taken_off", verb, verb + 1))
    return out


_MOST = 15
"""Millimetres of wall that come off in one go."""


def _job_in_hand(line: Line, at: int) -> str:
    """ "Toes four inches, took five eighths off": what an amount came off, if it was just named."""
    mark = line.marks[at]
    amount = mark.gap is not None and any(
        m.kind == "number" and mark.gap[0] <= m.start < mark.gap[1]
        and (m.number.form == "fraction" or m.number.unit is not None)
        for m in line.marks
    )  # fmt: skip
    if not amount:
        inside = [m for m in line.marks if m.kind == "number" and mark.gap is not None
                  and mark.gap[0] <= m.start < mark.gap[1]]  # fmt: skip
        last = [m for m in line.marks[:at] if m.kind == "number"][-1:]
        mil = bool(inside and last) and inside[0].number.value <= 15 and last[0].number.value >= 60
        near = mil and mark.start - last[0].end <= 4
        # "ninety, took six off that": toes measured in millimetres
        return "shorten_toe" if near else ""
    for other in reversed(line.marks[:at]):
        if mark.start - other.end > 14:
            return ""
        if other.kind in ("place", "measure", "finding") and other.code in _IN_HAND:
            return _IN_HAND[other.code]
        if other.code == "long" and line.norm(other.end - 1) == "long":
            return "shorten_toe"
        if other.kind in ("work", "place"):
            return ""
    return ""
