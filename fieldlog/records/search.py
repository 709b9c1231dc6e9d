"""Search over what was saved: one typed line of words and filters.

Words are looked up in the full-text index (porter stemming, trade synonyms both ways). Filters
are ``name:value`` pairs anywhere in the line::

    stretched white line foot:front since:2026-03-01
    horse:Bramble toe_length>95mm
    "old abscess" barn:"Hollow Creek" not:thrush

``foot:`` takes a foot (LF, near fore with quotes), ``front``, ``hind``, ``left``, ``right``.
``finding:`` and ``not:`` take a word of the finding (seen, or looked for and not seen).
No line is ever an error: what has no form of a filter is looked up as plain words. A filter whose
value means nothing (``since:junk``) finds nothing, and ``Wanted.unclear`` says why: shown as if it
had been heeded, everything would look like an answer. A bare number is taken in the unit that the
farrier set or that fits the measure, and ``Wanted.taken`` says in which.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from importlib.resources import files

from rapidfuzz import fuzz, process

from fieldlog.core.facts import Severity
from fieldlog.core.feet import Foot, feet_named
from fieldlog.core.typed import NUMBER, UNIT_WORDS, NoNumber, number, spelt_out
from fieldlog.core.units import UNITS, Dimension, Unit, to_base
from fieldlog.errors import NotFound
from fieldlog.records.history import History
from fieldlog.records.people import composed
from fieldlog.records.schema import DAY_STEP
from fieldlog.records.types import SearchHit

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
FEW_HORSES = 8
"""Up to so many horses, their lines are read first and the words looked up after."""
LIMIT = 200
"""Most lines that one search gives."""


_WHOSE = {"horse": "h.name", "owner": "c.name", "barn": "h.barn"}
"""The column of each filter about a horse."""


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
    filters: dict[str, str] = {}
    compare: list[tuple[str, str, float]] = []
    unclear: list[str] = []
    taken: list[str] = []

    def pair(match: re.Match[str]) -> str:
        name, value = match[1].lower(), match[2].strip('"').strip()
        if not value:
            return f" {match[1]} "
        if name not in FILTERS:
            near = _near(name, FILTERS)
            if near:
                unclear.append(f"“{match[0]}” was not understood. Did you mean {near}:{value}?")
                return " "
            return f" {match[1]} {value} "
        filters[name] = value
        if not _means_something(name, value, today or date.today()):
            unclear.append(f"“{match[0]}” was not understood. {name}: takes {FILTERS[name]}.")
        return " "

    def comparison(match: re.Match[str]) -> str:
        code, said = match[1].lower(), match[4]
        dimension = _dimension_of(code)
        if dimension is None:
            near = _near(code, _measures())
            hint = f"Did you mean {near}?" if near else f"Measures are {', '.join(_measures())}."
            unclear.append(f"“{match[0]}” was not understood: there is no such measure. {hint}")
            return " "
        try:
            value = number(match[3])
        except NoNumber as problem:
            unclear.append(f"“{match[0]}” was not understood. {problem}")
            return " "
        unit = UNIT_WORDS[said.lower()] if said else _unsaid(code, value, length_unit)
        if UNITS[unit].dimension is not dimension:
            unclear.append(
                f"“{match[0]}” was not understood: {code} is not measured in {said}. "
                "Leave the unit out."
            )
            return " "
        compare.append((code, match[2], to_base(value, unit)))
        if not said and dimension in (Dimension.LENGTH, Dimension.MASS):
            other = {Unit.INCH: "mm", Unit.KG: "lb", Unit.LB: "kg"}.get(unit, "in")
            taken.append(
                f"“{match[0]}” is taken in {_SAID[unit]}; for another unit write it behind the "
                f"number, e.g. {match[3]}{other}."
            )
        return " "

    def no_number(match: re.Match[str]) -> str:
        if _dimension_of(match[1].lower()) is None:
            return match[0]
        unclear.append(
            f"“{match[0].strip()}” was not understood. A number belongs behind the sign, e.g. "
            f"{match[1]}>95."
        )
        return " "

    def no_value(match: re.Match[str]) -> str:
        name = match[1].lower()
        if name not in FILTERS:
            return match[0]
        unclear.append(
            f"“{match[0]}” was not understood. {name}: takes {FILTERS[name]}; no space before it."
        )
        return " "

    rest = _COMPARE.sub(comparison, _PAIR.sub(pair, spelt_out(_speakable(line))))
    rest = _NO_VALUE.sub(no_value, _NO_NUMBER.sub(no_number, rest))
    words = re.findall(r'"[^"]+"|[^\s"]+', rest)
    cleaned = (re.sub(r"[^\w\s'-]", " ", w).strip() for w in words)
    return Wanted(
        tuple(w for w in cleaned if w), filters, tuple(compare), tuple(unclear), tuple(taken)
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
    from fieldlog.language.value_kinds import default_unit, dimension_of, likely_units

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


def full_text(words: Sequence[str]) -> str:
    """An FTS5 expression for words, each with its synonyms; always valid, maybe empty."""
    joined = " ".join(words).casefold()
    parts: list[str] = []
    for group in _synonyms():
        hit = next((g for g in group if re.search(rf"\b{re.escape(g)}\b", joined)), None)
        if hit is not None:
            joined = re.sub(rf"\b{re.escape(hit)}\b", " ", joined)
            parts.append("(" + " OR ".join(_quoted(g) for g in group) + ")")
    parts += [_quoted(w) for w in joined.split() if re.search(r"\w", w)]
    return " AND ".join(parts)


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


class Search(History):
    """Finding saved words and facts."""

    def search(
        self, line: str | Wanted, today: date | None = None, limit: int = LIMIT
    ) -> list[SearchHit]:
        """Lines that fit, the newest first; an empty line finds nothing, nor does an unclear one.

        Args:
            line: as typed, or what ``read_line`` made of it.
            today: what ``90d`` and ``yesterday`` count from.
            limit: most lines.
        """
        wanted = line if isinstance(line, Wanted) else read_line(line, today)
        if wanted.unclear:
            return []
        if not wanted.words and not wanted.filters and not wanted.compare:
            return []
        where, values = self._conditions(wanted, today or date.today())
        expression = " AND ".join(e for e in (full_text(wanted.words), _findings(wanted)) if e)
        if wanted.words and not expression:
            return []
        source = "said d"
        horses = self._horses_meant(wanted.filters)
        if horses is not None:
            where.append(f"d.horse_id IN ({', '.join('?' * len(horses))})")
            values += horses
        if expression and horses is not None and len(horses) <= FEW_HORSES:
            # A few horses have fewer lines than a common word.
            where.append("+d.id IN (SELECT rowid FROM said_fts WHERE said_fts MATCH ?)")
            values.append(expression)
        elif expression:
            source = "said_fts JOIN said d ON d.id = said_fts.rowid"
            where.insert(0, "said_fts MATCH ?")
            values.insert(0, expression)
        order = "said_fts.rowid" if source.startswith("said_fts") else "d.id"
        rows = self.query(
            f"""SELECT d.*, h.name AS horse, e.recording_id,
                  coalesce(json_extract(f.body, '$.details.moment'), '') AS moment FROM
                  (SELECT d.* FROM {source} WHERE {" AND ".join(where) or "1"}
                   ORDER BY {order} DESC LIMIT ?) d
                JOIN horses h ON h.id = d.horse_id JOIN entries e ON e.id = d.entry_id
                LEFT JOIN saved_facts f ON f.entry_id = d.entry_id AND f.id = d.fact_id
                ORDER BY d.day DESC, d.id""",
            [*values, limit],
        )
        from fieldlog.language.in_words import with_moment

        return [
            SearchHit(
                entry_id=r["entry_id"],
                fact_id=r["fact_id"],
                horse=r["horse"],
                day=date.fromisoformat(r["day"]),
                feet=tuple(Foot(x) for x in r["feet"].split()),
                label=with_moment(r["label"], r["moment"]) if r["label"] else "",
                sentence=r["sentence"],
                recording_id=r["recording_id"],
                sound=(r["start"], r["finish"]) if r["start"] is not None else None,
            )
            for r in rows
        ]

    def save_search(self, name: str, line: str) -> None:
        """Keep a search line under a name; an existing name is replaced."""
        with self.write():
            self.run("INSERT OR REPLACE INTO saved_searches VALUES (?, ?)", [name.strip(), line])

    def saved_searches(self) -> dict[str, str]:
        """Name and line of every kept search."""
        rows = self.query("SELECT * FROM saved_searches ORDER BY name COLLATE NOCASE")
        return {r["name"]: r["line"] for r in rows}

    def saved_search(self, name: str) -> str:
        """The line that is kept under a name.

        Raises:
            NotFound: none is.
        """
        line = self.saved_searches().get(name.strip())
        if line is None:
            raise NotFound(f"No search is kept as “{name}”.", "“fieldlog search --list” shows all.")
        return line

    def forget_search(self, name: str) -> None:
        """Drop a kept search.

        Raises:
            NotFound: none is kept under this name.
        """
        self.saved_search(name)
        with self.write():
            self.run("DELETE FROM saved_searches WHERE name = ?", [name.strip()])

    def nobody_meant(self, wanted: Wanted) -> str:
        """A sentence if no horse in the records fits the filters about horses, else empty."""
        asked = {n: v for n, v in wanted.filters.items() if n in _WHOSE}
        if not asked or self._horses_meant(asked):
            return ""
        return f"No horse in your records fits {' '.join(f'{n}:{v}' for n, v in asked.items())}."

    def _conditions(self, wanted: Wanted, today: date) -> tuple[list[str], list[object]]:
        where: list[str] = []
        values: list[object] = []

        def add(sql: str, *given: object) -> None:
            where.append(sql)
            values.extend(given)

        for name, value in wanted.filters.items():
            if name == "foot":
                feet = feet_named(value)
                if feet:
                    add(f"({' OR '.join(['instr(d.feet, ?)'] * len(feet))})", *feet)
            elif name == "place":
                add("d.places <> '' AND instr(d.places, ?)", re.sub(r"\W+", "_", value.casefold()))
            elif name in ("finding", "not"):
                add("d.kind = 'finding' AND d.negated = ?", int(name == "not"))
            elif name == "severity":
                add("d.severity = ? AND d.severity <> ''", value.casefold())
            elif name in ("since", "until"):
                day = day_of(value, today, last=name == "until")
                if day is not None:
                    # By number, which is by day: the full-text index can skip to it.
                    edge = (day.toordinal() + (name == "until")) * DAY_STEP
                    add("d.id >= ?" if name == "since" else "d.id < ?", edge)
        for code, operator, base in wanted.compare:
            sign = "BETWEEN ? - 0.001 AND ? + 0.001" if operator == "=" else f"{operator} ?"
            add(
                f"d.base IS NOT NULL AND d.code = ? AND d.base {sign}",
                code,
                *([base] * (2 if operator == "=" else 1)),
            )
        return where, values

    def _horses_meant(self, filters: dict[str, str]) -> list[str] | None:
        """Ids of the horses that the filters about horses leave; None if there are none such."""
        where = [f"{_WHOSE[n]} LIKE ? ESCAPE '~'" for n in filters if n in _WHOSE]
        values = [_start_of(v) for n, v in filters.items() if n in _WHOSE]
        if "open" in filters:
            has = "NOT EXISTS" if filters["open"].casefold() == "no" else "EXISTS"
            where.append(
                f"{has} (SELECT 1 FROM follow_ups u WHERE u.horse_id = h.id AND u.state = 'open')"
            )
        if not where:
            return None
        rows = self.query(
            f"""SELECT h.id FROM horses h LEFT JOIN clients c ON c.id = h.client_id
                WHERE {" AND ".join(where)}""",
            values,
        )
        return [r["id"] for r in rows]


def _speakable(line: str) -> str:
    """The line without what no text holds: NUL, and halves of characters from a broken terminal."""
    return composed(line.replace("\x00", " ").encode("utf-8", "replace").decode("utf-8"))


def _start_of(value: str) -> str:
    return re.sub(r"([%_~])", r"~\1", value) + "%"


def _findings(wanted: Wanted) -> str:
    """An FTS5 expression for the finding asked for, by its words and by its name in the lexicon."""
    from fieldlog.language.wording import label

    parts = []
    for name in ("finding", "not"):
        value = wanted.filters.get(name)
        if value is None:
            continue
        words = value.replace("_", " ")
        code = re.sub(r"\W+", "_", value.casefold())
        asked = {_quoted(w) for w in (words, label(code)) if re.search(r"\w", w)}
        meant = [full_text([words]), *(a for a in sorted(asked))]
        parts.append("label : (" + " OR ".join(f"({m})" for m in meant if m) + ")")
    return " AND ".join(p for p in parts if p != "label : ()")


def _quoted(word: str) -> str:
    return '"' + word.replace('"', "").strip() + '"'


@cache
def _synonyms() -> tuple[tuple[str, ...], ...]:
    text = (files("fieldlog.records") / "data" / "synonyms.toml").read_text(encoding="utf-8")
    groups = tomllib.loads(text)["groups"]
    return tuple(tuple(sorted(g, key=len, reverse=True)) for g in groups)


def _measures() -> list[str]:
    from fieldlog.language.lexicon import items

    return [item.id for item in items("measures")]


def _dimension_of(code: str) -> Dimension | None:
    from fieldlog.language.lexicon import index
    from fieldlog.language.value_kinds import dimension_of

    return dimension_of(code) if ("measure", code) in index() else None
