"""The pages of one horse as text: before the visit, history by foot, change over time. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from itertools import pairwise
from textwrap import wrap

from textual.content import Content

from fieldlog.app.charts import LEGEND, Point, plot, trend_words
from fieldlog.app.feet_table import draw
from fieldlog.app.shown import count, fit, plain
from fieldlog.app.worked_out import length_words
from fieldlog.core.computed import growth
from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.feet import FRONTS, HINDS, Foot
from fieldlog.core.redflags import DEFER, flag_text
from fieldlog.language.in_words import in_words
from fieldlog.language.lexicon import find_item
from fieldlog.language.wording import describe_feet, label
from fieldlog.papers.content import short_day
from fieldlog.records.types import FollowUp, HorsePage, MeasuredPoint, SavedFact

CHARTED = ("toe_length", "toe_angle", "heel_angle")
NO_CAUTION = "No caution is recorded. Ask the handler, and look for yourself."


def heading(page: HorsePage) -> Content:
    """Name, whose, where, and what tells it from others."""
    horse = page.horse
    also = f"also {', '.join(page.other_names)}" if page.other_names else ""
    about = [also, horse.colour, horse.sex, f"born {horse.born}" if horse.born else ""]
    first = Content.styled(plain(horse.name), "bold")
    about.append(f"left {horse.left_on}: {horse.left_why}" if horse.gone(page.last_day) else "")
    rest = " · ".join(plain(part) for part in (horse.client, horse.barn, *about) if part)
    return Content.assemble(first, f"   {rest}" if rest else "")


def _title(text: str) -> Content:
    return Content.styled(f"\n{text}\n", "bold $text-primary")


def before_visit(page: HorsePage, width: int, today: date, british: bool = False) -> Content:
    """Safety first, then what is open, what was planned, and the feet as last seen."""
    parts = _safety(page, width)
    parts.append(_title("OPEN"))
    parts += [f" {line}\n" for line in _open_lines(page, width, today, british)]
    if page.planned:
        parts.append(_title("PLANNED FOR THIS VISIT"))
        parts += [
            f" {_wrapped(f'{in_words(p.fact, british)}  ({p.day.isoformat()})', width, 3)}\n"
            for p in page.planned
        ]
    parts += _noted_since(page, width, british)
    table = last_measures(page, width, british)
    if table:
        parts += [_title("LAST MEASURES"), *(f" {line}\n" for line in table)]
    parts += _last_visit(page, width, british)
    return Content.assemble(*parts)


def _safety(page: HorsePage, width: int) -> list[Content | str]:
    """Red flags first, then cautions; or that there are none."""
    parts: list[Content | str] = [_title("SAFETY FIRST")]
    for code in page.red_flags:
        words = flag_text(code).removesuffix(DEFER)
        parts.append(Content.styled(f" !! {_wrapped(words, width, 4)}\n", "bold $text-error"))
    if page.red_flags:
        since = " or noted since" if page.since else ""
        when = f"From the last visit, {page.last_day}{since}" if page.last_day else "Noted"
        words = f"({when}. {DEFER})"
        parts.append(f"    {_wrapped(words, width, 4)}\n")
    for caution in page.cautions:
        parts.append(Content.styled(f" ! {_wrapped(caution, width, 3)}\n", "bold $text-error"))
    return parts if page.cautions else [*parts, f" {NO_CAUTION}\n"]


def _last_visit(page: HorsePage, width: int, british: bool) -> list[Content | str]:
    """The feet as last seen, and what was last measured on days before."""
    if page.last_day is None:
        return [_title("LAST VISIT"), " Nothing is saved about this horse yet.\n"]
    parts: list[Content | str] = [_title(f"LAST VISIT, {page.last_day.isoformat()}")]
    parts.append(draw([s.fact for s in page.last_facts], width - 1, british=british).content)
    older = [m for m in page.measures if m.day != page.last_day and not _in_table(m)]
    if older:
        parts.append(_title("LAST MEASURED EARLIER"))
        parts += [f" {measure_line(m, british)}\n" for m in older]
    return parts


def _wrapped(text: str, width: int, indent: int) -> str:
    """What is too long for one line goes on below; nothing of it is cut off."""
    return f"\n{' ' * indent}".join(wrap(plain(text), max(20, width - indent - 1)) or [""])


_OF_A_FINDING = frozenset({"finding_size", "depth", "remaining", "taken_off"})
"""Measures that mean nothing without the finding or the work of their own visit."""


def _in_table(point: MeasuredPoint) -> bool:
    item = find_item(point.code, "measure")
    measure = item is not None and item.table == "measure"
    return point.foot is not None and measure and point.code not in _OF_A_FINDING


def last_measures(page: HorsePage, width: int, british: bool = False) -> list[str]:
    """Each measure as last taken, foot beside foot; with its day where the last visit has none."""
    points = [m for m in page.measures if _in_table(m)]
    feet = [foot for foot in Foot if any(m.foot is foot for m in points)]
    rows: dict[str, dict[Foot, str]] = {}
    for m in points:
        day = "" if m.day == page.last_day else f", {short_day(m.day)}"
        if m.foot is not None:
            rows.setdefault(label(m.code, "measure"), {})[m.foot] = (
                f"{plain(m.shown)}{' before' if m.before else ''}{day}"
            )
    if not rows:
        return []
    names = max(len(name) for name in rows)
    column = max(len(cell) for row in rows.values() for cell in row.values())
    column = max(column, *(len(describe_feet((foot,), british)) for foot in feet))
    if names + len(feet) * (column + 2) > width - 2:  # four feet with their days: one a line
        return [
            f"{name}: {describe_feet((foot,), british)} {cell}"
            for name, row in rows.items()
            for foot, cell in row.items()
        ]
    head = "".join(f"  {describe_feet((foot,), british):{column}}" for foot in feet)
    lines = [f"{'':{names}}{head}".rstrip()]
    for name, row in rows.items():
        cells = "".join(f"  {row.get(foot, ''):{column}}" for foot in feet)
        lines.append(f"{name:{names}}{cells}".rstrip())
    return lines


def _open_lines(page: HorsePage, width: int, today: date, british: bool) -> list[str]:
    # Its day stands last: a line that is too long goes on below rather than lose that.
    lines = [
        "\n ".join(wrap(follow_up_line(f, today, british), width - 2, subsequent_indent="  "))
        for f in page.follow_ups
    ]
    due = page.due
    if due is not None and due.due is not None:
        when = f"{due.due.isoformat()}{_late(due.due, today)}"
        why = "as promised" if due.promised else f"every {due.weeks} weeks"
        lines.append(f"next visit {when} ({why})")
    return lines or ["Nothing is open."]


def _noted_since(page: HorsePage, width: int, british: bool) -> list[Content | str]:
    """What somebody told after the last visit; what was promised then stands above."""
    told = [s for s in page.since if s.fact.kind is not FactKind.FOLLOW_UP]
    if not told:
        return []
    lines = [
        f" {_wrapped(f'{in_words(s.fact, british)}  ({s.day.isoformat()})', width, 3)}\n"
        for s in told
    ]
    return [_title("NOTED SINCE, WITHOUT A VISIT"), *lines]


def _late(due: date, today: date) -> str:
    late = (today - due).days
    return f", {count(late, 'day')} late" if late > 0 else ""


def follow_up_line(item: FollowUp, today: date, british: bool = False) -> str:
    """``! radiographs by a veterinarian · left front · by vet · due 2026-12-01, 3 days late``."""
    parts = [plain(item.text or label(item.code, "followup"))]
    if item.feet:
        parts.append(describe_feet(item.feet, british))
    if item.who not in ("", "farrier"):
        parts.append(f"{plain(item.who)} is to act")
    if item.condition:
        parts.append(plain(item.condition))
    if item.due is not None:
        parts.append(f"due {item.due.isoformat()}{_late(item.due, today)}")
    if item.also:
        parts.append(item.where_said)
    if item.urgent:
        parts.insert(0, "urgent")
    mark = "! " if item.urgent or (item.due is not None and item.due < today) else ""
    return mark + " · ".join(parts)


def measure_line(point: MeasuredPoint, british: bool = False) -> str:
    """``left front · toe length · 3 1/4 in  (2026-10-14)``."""
    where = [describe_feet((point.foot,), british)] if point.foot is not None else []
    name = label(point.code, "measure")
    return f"{' · '.join([*where, name, plain(point.shown)])}  ({point.day.isoformat()})"


def history(
    facts: Iterable[SavedFact], width: int, feet: tuple[Foot, ...] = (), british: bool = False
) -> Content:
    """Visits, the newest first, with what was seen and done; only of ``feet`` if any are given."""
    chosen = [s for s in facts if not feet or set(feet) & set(s.fact.feet)]
    title = f"HISTORY, {describe_feet(feet, british) if feet else 'all feet'}"
    parts: list[Content | str] = [_title(title)]
    if not chosen:
        parts.append(" Nothing is saved for that yet.\n")
    for day in sorted({s.day for s in chosen}, reverse=True):
        parts.append(Content.styled(f" {day.isoformat()}\n", "bold"))
        for saved in (s for s in chosen if s.day == day):
            parts.append(f"   {_wrapped(in_words(saved.fact, british), width, 5)}\n")
    return Content.assemble(*parts)


def points_of(facts: Iterable[SavedFact]) -> dict[str, list[Point]]:
    """Every charted value of a horse by the code of its measure."""
    found: dict[str, list[Point]] = {}
    for saved in facts:
        fact = saved.fact
        if fact.code not in CHARTED or fact.quantity is None or fact.negated or fact.historical:
            continue
        before = fact.details.get("moment", "") == "before"
        for foot in fact.feet:
            point = Point(saved.day, fact.quantity.base, foot, before)
            found.setdefault(fact.code, []).append(point)
    return found


def trends(facts: Sequence[SavedFact], width: int, inches: bool = True) -> Content:
    """A chart of each measure for each pair of feet, and the same in words."""
    parts: list[Content | str] = []
    by_code = points_of(facts)
    for code in CHARTED:
        for name, pair in (("fronts", FRONTS), ("hinds", HINDS)):
            own = [p for p in by_code.get(code, []) if p.foot in pair]
            if own:
                title = f"{label(code, 'measure')}, {name}"
                parts += _chart(title, own, width, code.endswith("angle"), inches)
    scored = score_lines(facts)
    if scored:
        parts += [_title("SCORES"), *(f" {fit(line, width - 2)}\n" for line in scored)]
    if not parts:
        return Content.assemble(
            _title("CHANGE OVER TIME"),
            " Nothing is measured yet. Say “left front toe three and a quarter, fifty two "
            "degrees”\n and after two visits its change is drawn here.\n",
        )
    return Content.assemble(*parts, Content.styled(f"\n {LEGEND}\n", "$text-muted"))


def score_lines(facts: Iterable[SavedFact]) -> list[str]:
    """Each whole-horse score over time, one line for each scale: scales are never mixed."""
    rows: dict[tuple[str, str], list[tuple[date, str]]] = {}
    for saved in facts:
        fact = saved.fact
        if fact.kind is FactKind.SCORE and fact.quantity is not None and not fact.negated:
            number = replace(fact.quantity, qualifier="", approximate=False).shown()
            key = (fact.code, _scale_words(fact))
            rows.setdefault(key, []).append((saved.day, number))
    return [
        f"{label(code, 'score')}{f' {scale}' if scale else ''}: "
        + "   ".join(f"{day.isoformat()} {value}" for day, value in sorted(values))
        for (code, scale), values in sorted(rows.items())
    ]


def _scale_words(fact: Fact) -> str:
    """``of 9 (Henneke)``, as the scale is worded beside a score."""
    if fact.quantity is None or not fact.details.get("scale"):
        return ""
    return in_words(fact).partition(fact.quantity.shown())[2].split(" · ")[0].strip()


def _chart(
    title: str, points: Sequence[Point], width: int, degrees: bool, inches: bool
) -> list[Content | str]:
    def shown(value: float) -> str:
        return f"{value:g}°" if degrees else length_words(value, inches)

    rows = plot(points, min(width - 2, 100), 6, shown)
    words = trend_words(points, shown)
    if not degrees:
        words += [_wrapped(line, width, 3) for line in growth_words(points)]
    return [_title(title.upper()), *(f" {line}\n" for line in (*rows, *words))]


def growth_words(points: Sequence[Point]) -> list[str]:
    """Growth between the last trim and the find before the next, with what measuring leaves open.

    Only where a foot has a length after the work of one visit and before the work of a later one.
    """
    lines = []
    for foot in Foot:
        own = sorted((p for p in points if p.foot is foot), key=lambda p: (p.day, not p.before))
        pairs = [(a, b) for a, b in pairwise(own) if not a.before and b.before and b.day > a.day]
        if pairs:
            after, before = pairs[-1]
            grown = growth(after.value, before.value, after.day, before.day)
            lines.append(
                f"{foot.american}: grew {grown.per_week:.1f} mm a week ({grown.low:.1f} to "
                f"{grown.high:.1f} for a tape 1 mm off), {after.day} to {before.day}"
            )
    return lines
