"""Grades: numbers beside a cue, "out of five", alone; of which scale, and of which foot."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.units import Unit
from fieldlog.language.lexicon import find_item
from fieldlog.language.values.around import Around
from fieldlog.language.values.fat_said import as_condition
from fieldlog.language.words.marks import Mark

_TOPS = frozenset({3, 4, 5, 9, 10})
"""Scales that grades are given on."""
_OUT_OF = frozenset({"horses", "horse", "ponies", "nails", "feet", "shoes", "times", "days",
                      "trims", "clinches", "clenches", "visits", "people", "of"})  # fmt: skip
_PRAISED = frozenset({"behavior", "behaviour", "manners", "effort", "trying", "cheek", "looks",
                      "patience", "standing"})  # fmt: skip
_OTHER_SCALES = frozenset({"crest", "neck", "manners", "temperament", "attitude", "temper"})


def _tenths_as_grade(mark: Mark) -> None:
    """ "Four tenths lame": no tape has tenths, so it is lameness out of ten."""
    span = mark.value
    if span.form == "fraction" and (span.spoken or "").lower().endswith(("tenths", "/10")):
        whole = round(span.value * 10)
        mark.value = mark.number = replace(span, value=float(whole), form="grade/10")


def as_score(note: Around, at: int, mark: Mark) -> bool:
    """Whether a number is a grade, beside a cue or before ``out of``; it is made that."""
    if mark.value.unit not in (None, Unit.GRADE):
        return False
    _tenths_as_grade(mark)
    if mark.value.form.startswith("grade/"):
        _grade_of_top(note, at, mark)
        return True
    found = _graded(note, at, mark) or as_condition(note, at, mark)
    if found and mark.kind == "grade":
        _of_next_foot(note, at, mark)
    return found


def _of_next_foot(note: Around, at: int, mark: Mark) -> None:
    """ "Pulse one out of three left front, two out of three right front": one more score."""
    before = [m for m in note.previous(at) if m.kind != "role"][:6]
    kinds = [m.kind for m in before]
    if "foot" not in kinds or not {"grade", "score"} & {*kinds}:
        return
    graded = next((i for i, k in enumerate(kinds) if k in ("grade", "score")), None)
    cue = next((m for m in before if m.kind == "score"), None)
    feet = [i for i, k in enumerate(kinds) if k == "foot"]
    later = [m for m in note.line.marks[at + 1 :] if m.kind != "role" and m.start >= mark.end]
    ahead = later[0] if later else None
    follows = ahead is not None and ahead.kind == "foot"
    if graded is None or cue is None or feet[0] > graded or not follows:
        return
    if cue.code not in _BY_FOOT or mark.value.value > _HIGHEST:
        return
    mark.kind, mark.code, mark.item = "score", cue.code, cue.item


def _graded(note: Around, at: int, mark: Mark) -> bool:
    """Whether the number is a grade, by what stands around it."""
    return (
        _out_of(note, at, mark)
        or _before_cue(note, at, mark)
        or _said_grade(note, at, mark)
        or _was_a(note, at, mark)
        or _behind_cue(note, at, mark)
    )


def _grade_of_top(note: Around, at: int, mark: Mark) -> None:
    """ "Two fifths lame": a grade with the top of its scale."""
    mark.kind, mark.code = "grade", "graded"
    top = mark.value.form.partition("/")[2]
    mark.tags.add(f"of:{top}")
    if not any(m.kind == "score" for m in note.previous(at)[:4]):
        _lone_grade(note, mark)
        if top == "9":
            mark.code, mark.item = "condition", find_item("condition", "score")


def _out_of(note: Around, at: int, mark: Mark) -> bool:
    """ "Two out of five"; "thrush in three out of four" counts feet."""
    line, end = note.line, mark.end
    slurred = line.norm(end) in ("outa", "outta")
    if not slurred and line.norm(end) != "out":
        return False
    four = line.norm(end + 2) in ("four", "4")
    if four and not slurred and line.norm(mark.start - 1) in ("in", "on"):
        mark.kind, mark.code = "count", "feet"
        return True
    if not slurred and line.norm(end + 1) != "of":
        return False
    behind = end + (1 if slurred else 2)
    scale = next((m for m in line.marks if m.start == behind), None)
    if not _is_scale(note, mark, scale):
        mark.kind, mark.code = "count", "of"
        return True
    mark.kind, mark.code = "grade", "graded"
    if not any(m.kind == "score" for m in note.previous(at)[:4]):
        _lone_grade(note, mark)
    if scale is not None and scale.kind == "number":
        mark.tags.add(f"of:{scale.value.value:g}")
        mark.end = scale.end
        scale.kind, scale.code = "count", "scale"
        scale.tags.add("used")
    return True


def _is_scale(note: Around, mark: Mark, scale: Mark | None) -> bool:
    """Not "ten out of ten for behaviour", "six out of the eight", "crest two out of five"."""
    if scale is None or scale.kind != "number" or scale.value.value not in _TOPS:
        return False
    beyond = note.line.norm(scale.end)
    if beyond in _OUT_OF or (beyond == "for" and note.line.norm(scale.end + 1) in _PRAISED):
        return False
    before = range(mark.start - 4, mark.start)
    return not any(note.line.norm(i) in _OTHER_SCALES for i in before)


def _before_cue(note: Around, at: int, mark: Mark) -> bool:
    """ "A five on condition", "two for the pulse"."""
    cue = next((m for m in note.line.marks[at + 1 :] if m.kind != "role"), None)
    if cue is None or cue.kind != "score" or cue.start - mark.end > 3:
        return False
    if note.line.norm(mark.end) not in ("on", "for", "in"):
        return False
    mark.kind, mark.code = "grade", "graded"
    return True


def _said_grade(note: Around, at: int, mark: Mark) -> bool:
    """ "Grade two"; "grade two seedy toe" is no score."""
    if mark.value.form != "grade":
        return False
    following = note.next(at, most=0)
    of_a_finding = following is not None and following.kind == "finding"
    if following is not None and of_a_finding and following.code != "lameness":
        mark.kind, mark.code = "count", "grade of a finding"
        return True
    mark.kind, mark.code = "grade", "graded"
    scores = [m for m in note.previous(at)[:4] if m.kind == "score"]
    if not scores:
        _lone_grade(note, mark)
    elif scores[0].code == "lameness" and any(m.code == "obel" for m in scores):
        # "Obel three a week ago and grade one now"
        scores[0].code, scores[0].item = "obel", find_item("obel", "score")
    elif scores[0].code == "lameness" and (graded := _graded_finding(note, mark)):
        scores[0].code, scores[0].item = graded, find_item(graded, "score")
    return True


def _was_a(note: Around, at: int, mark: Mark) -> bool:
    """ "Condition five today, he was a four in May"."""
    scored = next((m for m in reversed(note.line.marks[:at]) if m.kind == "score"), None)
    words = (note.line.norm(mark.start - 2), note.line.norm(mark.start - 1))
    if scored is None or words != ("was", "a") or mark.start - scored.end > 26:
        return False
    mark.kind, mark.code, mark.item = "score", scored.code, scored.item
    return True


def _behind_cue(note: Around, at: int, mark: Mark) -> bool:
    """ "Condition's about a five", "pulse left front two right front three"."""
    for earlier in [m for m in note.previous(at) if m.kind != "role"][:3]:
        apart = mark.start - earlier.end
        if (earlier.kind == "score" and apart <= 7) or (earlier.kind == "grade" and apart <= 3):
            mark.kind, mark.code = "grade", "graded"
            return True
        if earlier.kind not in ("place", "foot"):
            return False
    return False


def _lone_grade(note: Around, mark: Mark) -> None:
    """A grade without a cue is of lameness, unless it is out of nine.

    "Lame, two out of five" is one statement: the word before gives way to the grade.
    """
    for other in note.line.marks:
        plain = other.kind == "finding" and other.code == "lameness"
        near = 0 <= mark.start - other.end <= 7 or 0 <= other.start - mark.end <= 1
        mild = {note.line.norm(i) for i in other.covers()} & {"off", "little", "bit"}
        if plain and not mild and near:
            other.kind, other.code = "role", "copula"
    top = note.line.norm(mark.end + 2)
    lead = {note.line.norm(i) for i in range(mark.start - 16, mark.start)}
    mark.kind, mark.code = "score", "condition" if top in ("nine", "9") else "lameness"
    mark.code = _graded_finding(note, mark) or mark.code
    if note.line.norm(mark.start - 1) in ("score", "scored") and not lead & _OF_A_GAIT:
        mark.code = "condition"  # "score four out of five at the weigh-in"
    if top in ("three", "3", "four", "4") and lead & {"testers", "tester"}:
        mark.code = "hoof_tester_grade"
    if lead & {"obel"} and mark.code == "lameness":
        mark.code = "obel"
    mark.item = find_item(mark.code, "score")


def _graded_finding(note: Around, mark: Mark) -> str:
    """ "A clubby left, grade two": the score that belongs to the finding before a grade."""
    heads = [m for m in note.line.marks if m.kind == "finding" and m.end <= mark.start]
    near = bool(heads) and mark.start - heads[-1].end <= 14
    return _GRADED.get(heads[-1].code, "") if near else ""


_OF_A_GAIT = frozenset({"lame", "lameness", "trot", "obel", "testers", "tester", "pulse", "walk",
                        "flexion", "club", "clubby"})  # fmt: skip
_BY_FOOT = frozenset({"lameness", "pulse_grade", "hoof_tester_grade", "club_grade"})
_HIGHEST = 10
"""The highest grade of any scale of these."""
_GRADED = {"clubby": "club_grade", "digital_pulse": "pulse_grade", "bounding_pulse": "pulse_grade"}
