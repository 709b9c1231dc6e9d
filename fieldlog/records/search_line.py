"""A search line, understood: words, filters, comparisons; and what was not understood.

No line is ever an error: what has no form of a filter counts as words. A filter whose value means
nothing (``since:junk``) is told in ``Wanted.unclear``: shown as if it had been heeded, everything
would look like an answer. A bare number is taken in the unit that the farrier set or that fits the
measure, and ``Wanted.taken`` says in which.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta

from rapidfuzz import fuzz, process

from fieldlog.core.facts import Severity
from fieldlog.core.feet import feet_named
from fieldlog.core.typed import NUMBER, UNIT_WORDS, NoNumber, number, spelt_out
from fieldlog.core.units import UNITS, Dimension, Unit, to_base
from fieldlog.records.names import composed

FILTERS = {
    "horse": "the horse's name or the start of it",
    "owner": "the client's name or the start of it",
    "barn": "the barn's name or the start of it",
    "foot": "LF, RF, LH, RH, front, hind, left or right",
    "place": "a place on the hoof, e.g. toe, quarter, white line",
    "finding": "something seen, e.g. thrush",
    "not": "something looked for and not seen",
    "severity": "mild, moderate or severe",
    "since": "a day, month or year: 2026-03-01, 2026-03, 2026, or 90d, 6w, yesterday, spring",
    "until": "the same, included",
    "open": "yes or no: only horses with an open follow-up, or without",
}
_PAIR = re.compile(r'(\w+):("[^"]*"|\S+)')
# A quotation mark begins a phrase here, and a single letter may be a word of its own.
_UNITS = "|".join(sorted((w for w in UNIT_WORDS if len(w) > 1 and w.isalpha()), key=len)[::-1])
_COMPARE = re.compile(
    rf"(\w+)\s*(<=|>=|<|>|=)\s*({NUMBER})\s*({_UNITS}|[°%])?(?![\w/])", re.IGNORECASE
)
_NO_NUMBER = re.compile(r"(\w+)\s*(?:<=|>=|<|>|=)\s*\S*")
"""A comparison with what is no number, or with nothing."""
_NO_VALUE = re.compile(r"(\w+):(?=\s|$)")
"""A filter without what it filters by, or with a space before it."""
_SAID = {
    Unit.MM: "millimetres",
    Unit.CM: "centimetres",
    Unit.INCH: "inches",
    Unit.HAND: "hands",
    Unit.KG: "kilograms",
    Unit.LB: "pounds",
}
CLOSE_FILTER = 75
"""rapidfuzz ratio (0 to 100) from which an unknown filter or measure is a known one, mistyped."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """A search line, understood."""

    words: tuple[str, ...] = ()
    filters: dict[str, str] = field(default_factory=dict)
    compare: tuple[tuple[str, str, float], ...] = ()
    """Measure code, operator, value in mm, degrees or kg."""
    unclear: tuple[str, ...] = ()
    """What was not understood, and what would be: sentences."""
    taken: tuple[str, ...] = ()
    """In which unit a number without one was taken: sentences."""


def read_line(line: str, today: date | None = None, length_unit: str = "") -> Wanted:
    """Take a search line apart; anything that has no form of a filter counts as words.

    Args:
        line: as typed.
        today: what ``90d`` and ``yesterday`` count from.
        length_unit: the farrier's unit for a bare length, ``in`` or ``mm``; empty: what fits.
    """
    return _Reader(today or date.today(), length_unit).read(line)


class _Reader:
    """Takes one line apart: each kind of part is taken out of it, what is left are words."""

    def __init__(self, today: date, length_unit: str) -> None:
        self._today = today
        self._length_unit = length_unit
        self._filters: dict[str, str] = {}
        self._compare: list[tuple[str, str, float]] = []
        self._unclear: list[str] = []
        self._taken: list[str] = []

    def read(self, line: str) -> Wanted:
        """The whole line."""
        rest = _PAIR.sub(self._pair, spelt_out(_speakable(line)))
        rest = _COMPARE.sub(self._comparison, rest)
        rest = _NO_VALUE.sub(self._no_value, _NO_NUMBER.sub(self._no_number, rest))
        words = re.findall(r'"[^"]+"|[^\s"]+', rest)
        cleaned = (re.sub(r"[^\w\s'-]", " ", w).strip() for w in words)
        return Wanted(
            tuple(w for w in cleaned if w),
            self._filters,
            tuple(self._compare),
            tuple(self._unclear),
            tuple(self._taken),
        )

    def _refuse(self, what: str, why: str) -> str:
        """Note what was not understood; it is taken out of the line."""
        self._unclear.append(f"“{what}” was not understood{why}")
        return " "

    def _pair(self, match: re.Match[str]) -> str:
        name, value = match[1].lower(), match[2].strip('"').strip()
        if not value:
            return f" {match[1]} "
        if name not in FILTERS:
            near = _near(name, FILTERS)
            if near:
                return self._refuse(match[0], f". Did you mean {near}:{value}?")
            return f" {match[1]} {value} "
        self._filters[name] = value
        if not _means_something(name, value, self._today):
            self._refuse(match[0], f". {name}: takes {FILTERS[name]}.")
        return " "

    def _comparison(self, match: re.Match[str]) -> str:
        code, said = match[1].lower(), match[4]
        dimension = _dimension_of(code)
        if dimension is None:
            near = _near(code, _measures())
            hint = f"Did you mean {near}?" if near else f"Measures are {', '.join(_measures())}."
            return self._refuse(match[0], f": there is no such measure. {hint}")
        try:
            value = number(match[3])
        except NoNumber as problem:
            return self._refuse(match[0], f". {problem}")
        unit = UNIT_WORDS[said.lower()] if said else _unsaid(code, value, self._length_unit)
        if UNITS[unit].dimension is not dimension:
            why = f": {code} is not measured in {said}. Leave the unit out."
            return self._refuse(match[0], why)
        self._compare.append((code, match[2], to_base(value, unit)))
        if not said and dimension in (Dimension.LENGTH, Dimension.MASS):
            self._taken.append(_taken_in(match, unit))
        return " "

    def _no_number(self, match: re.Match[str]) -> str:
        if _dimension_of(match[1].lower()) is None:
            return match[0]
        why = f". A number belongs behind the sign, e.g. {match[1]}>95."
        return self._refuse(match[0].strip(), why)

    def _no_value(self, match: re.Match[str]) -> str:
        name = match[1].lower()
        if name not in FILTERS:
            return match[0]
        return self._refuse(match[0], f". {name}: takes {FILTERS[name]}; no space before it.")


def _taken_in(match: re.Match[str], unit: Unit) -> str:
    """In which unit a bare number was taken, and how another one is asked for."""
    other = {Unit.INCH: "mm", Unit.KG: "lb", Unit.LB: "kg"}.get(unit, "in")
    return (
        f"“{match[0]}” is taken in {_SAID[unit]}; for another unit write it behind the number, "
        f"e.g. {match[3]}{other}."
    )


def _near(name: str, known: Iterable[str]) -> str:
    """The known name that was probably meant; empty if none is near."""
    found = process.extractOne(name, list(known), scorer=fuzz.ratio, score_cutoff=CLOSE_FILTER)
    return str(found[0]) if found else ""


def _means_something(name: str, value: str, today: date) -> bool:
    if name == "foot":
        return bool(feet_named(value))
    if name in ("since", "until"):
        return day_of(value, today, last=name == "until") is not None
    if name == "severity":
        return value.casefold() in {s.value for s in Severity}
    if name == "open":
        return value.casefold() in ("yes", "no")
    return re.search(r"\w", value) is not None or name in ("horse", "owner", "barn")


def _unsaid(code: str, value: float, length_unit: str) -> Unit:
    """The unit of a bare number: the farrier's own, or what fits the measure and the size."""
    from fieldlog.language.lexicon import find_item
    from fieldlog.language.values.kinds import default_unit, dimension_of, likely_units

    dimension = dimension_of(code)
    if dimension not in (Dimension.LENGTH, Dimension.MASS):
        return next(u for u, f in UNITS.items() if f.dimension is dimension and f.to_base == 1)
    item = find_item(code, "measure")
    if (
        length_unit in ("in", "mm")
        and dimension is Dimension.LENGTH
        and item
        and item.per != "horse"
    ):
        return Unit(length_unit)
    likely = likely_units(code, value, length_unit)
    return likely[0] if likely else default_unit(dimension, value)


def day_of(text: str, today: date, *, last: bool = False) -> date | None:
    """The day meant by ``2026-03-01``, ``2026-03``, ``2026``, ``90d``, ``6w``, ``spring``..."""
    text = text.strip().casefold()
    if text in ("today", "yesterday"):
        return today - timedelta(days=text == "yesterday")
    ago = re.fullmatch(r"(\d{1,5})([dw])", text)
    if ago:
        try:
            return today - timedelta(days=int(ago[1]) * (7 if ago[2] == "w" else 1))
        except OverflowError:
            return None
    seasons = {"spring": 3, "summer": 6, "autumn": 9, "fall": 9, "winter": 12}
    if text in seasons:
        # Meteorological seasons of the northern half; the latest one that has begun.
        start = date(today.year, seasons[text], 1)
        return start if start <= today else start.replace(year=today.year - 1)
    try:
        if re.fullmatch(r"\d{4}", text):
            return date(int(text), 12, 31) if last else date(int(text), 1, 1)
        if re.fullmatch(r"\d{4}-\d{2}", text):
            first = date.fromisoformat(f"{text}-01")
            after = (first + timedelta(days=32)).replace(day=1)
            return after - timedelta(days=1) if last else first
        return date.fromisoformat(text)
    except ValueError:
        return None


def _speakable(line: str) -> str:
    """The line without what no text holds: NUL, and halves of characters from a broken terminal."""
    return composed(line.replace("\x00", " ").encode("utf-8", "replace").decode("utf-8"))


def _measures() -> list[str]:
    from fieldlog.language.lexicon import items

    return [item.id for item in items("measures")]


def _dimension_of(code: str) -> Dimension | None:
    from fieldlog.language.lexicon import index
    from fieldlog.language.values.kinds import dimension_of

    return dimension_of(code) if ("measure", code) in index() else None
