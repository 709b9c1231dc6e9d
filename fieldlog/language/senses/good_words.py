"""Good words ("clean", "tight", "looks well"): no fault seen, if said of a foot or a place."""

from __future__ import annotations

from fieldlog.language.lexicon import find_item, word_set
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import COPULAS, Line, mark_before

_LOOKS = word_set("look_verbs")
_SHOES = frozenset({"shoe", "shoes", "nail", "nails", "clench", "clenches", "clinch", "clinches",
                    "sprung", "glue", "plate", "plates"})  # fmt: skip
_BEFORE_A_NOUN = frozenset({"the", "his", "her", "on", "in", "off", "that"})
_NO_VERDICT = frozenset({"wide", "cold", "dead", "pretty", "really", "very", "quite", "fairly",
                         "so", "all", "perfectly", "looking", "still", "and", "just", "real",
                         "lot"})  # fmt: skip
_NEEDS_SUBJECT = ("straight", "dry", "level", "even", "normal", "tight", "firm", "cool", "cold")
_OKAY = ("okay", "ok", "alright")


def settle_good(line: Line, at: int, mark: Mark) -> None:
    """Make "nothing wrong seen" of a good word that is said of something.

    Args:
        line: words and marks.
        at: the number of the mark.
        mark: the good word.
    """
    word = line.norm(mark.end - 1)
    if word == "solid" and _closes_its_foot(line, at, mark):
        _be(mark, "normal")
        return
    following = line.marks[at + 1] if at + 1 < len(line.marks) else None
    if _no_verdict(line, mark, following):
        return
    if word == "straight" and _axis_before(line, at):
        _be(mark, "axis_straight")
        return
    previous = mark_before(line, at)
    told_of = previous is not None and previous.kind in ("foot", "place")
    subject = previous if told_of and previous and "compared" not in previous.tags else None
    if word in _NEEDS_SUBJECT and subject is None:
        return
    if word in ("tight", "snug", "solid") and subject is not None and _tight(line, mark, subject):
        return
    if word in ("straight", "level", "even"):
        return  # how a leg or a pair stands
    looks = line.norm(mark.start - 1) in _LOOKS and word not in ("well", "clear", "even", "okay",
                                                                 "ok")  # fmt: skip
    if subject is None and (word == "well" or not (looks or _before_place(line, mark, following))):
        return
    if word in _OKAY and not looks and not _says_okay(line, mark, previous):
        return
    _be(mark, "normal")


def _closes_its_foot(line: Line, at: int, mark: Mark) -> bool:
    """ "Right front, solid.": the whole of what is said of that foot."""
    foot = next((m for m in reversed(line.marks[:at]) if m.tells()), None)
    if foot is None or foot.kind != "foot" or not line.break_at(mark.end):
        return False
    return all(line.break_at(i) for i in range(foot.end, mark.start))


def _be(mark: Mark, code: str) -> None:
    mark.kind, mark.code, mark.item = "finding", code, find_item(code, "finding")


def _no_verdict(line: Line, mark: Mark, following: Mark | None) -> bool:
    """ "Straight out", "pretty well a pair", "good three inches", "very": nothing is judged."""
    word, after = line.norm(mark.end - 1), line.norm(mark.end)
    if word == "nicely" or (word == "straight" and after in ("out", "up")):
        return True
    if word == "well" and after in ("a", "an", "the"):
        return True
    if following is not None and following.kind == "number" and following.start == mark.end:
        return True
    return word in _NO_VERDICT


def _axis_before(line: Line, at: int) -> bool:
    """ "Broken back left, straight right": the axis was spoken of, with no stop since the note's
    beginning."""
    axis = any(m.kind == "finding" and m.code.startswith("axis") for m in line.marks[:at])
    return axis and all(w.sort != "stop" for w in line.words[: line.marks[at].start])


def _before_place(line: Line, mark: Mark, following: Mark | None) -> bool:
    """ "Good heels": the place stands behind the word."""
    if following is None or following.kind != "place" or following.start != mark.end:
        return False
    if line.norm(mark.end - 1) in ("okay", "ok", "well", "happy"):
        return False
    return not (line.norm(mark.start - 1) == "a" and following.code == "quarter")


def _tight(line: Line, mark: Mark, subject: Mark) -> bool:
    """ "Near shoe's hanging, off one's tight" is of the shoes, "white lines tight" of the line."""
    lead = {line.norm(i) for i in range(mark.start - 14, mark.start)}
    shoe = subject.kind == "foot" and bool(lead & _SHOES)
    if not shoe and subject.code != "white_line":
        return False
    mark.kind, mark.code = "finding", "shoe_tight" if shoe else "white_line_tight"
    mark.item = find_item(mark.code, "finding")
    return True


def _says_okay(line: Line, mark: Mark, foot: Mark | None) -> bool:
    """ "Left front okay, right front okay", not "trimmed the near hind, okay, the off hind..."."""
    if line.norm(mark.start - 1) in COPULAS:
        return True
    bare = foot is not None and foot.kind == "foot" and foot.end == mark.start
    bare = bare and foot is not None and line.norm(foot.start - 1) not in _BEFORE_A_NOUN
    beyond = next((m for m in line.marks if m.start >= mark.end), None)
    closes = line.break_at(mark.end) or line.norm(mark.end) in ("and", "but", "too")
    return bare and (closes or (beyond is not None and beyond.kind == "foot"
                                and beyond.start == mark.end))  # fmt: skip
