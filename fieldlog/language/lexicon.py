"""The vocabulary as data: reads ``data/*.toml`` once and answers simple questions about it.

Everything here is cheap (no spaCy), so screens and papers can ask for labels at once.
"""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

KINDS = {
    "findings": "finding",
    "measures": "measure",
    "work": "work",
    "followups": "followup",
    "handling": "handling",
    "scores": "score",
    "places": "place",
    "advice": "advice",
}
"""Data file and the name of its tables."""


@dataclass(frozen=True, slots=True)
class Item:
    """One id of the vocabulary."""

    table: str
    """``finding``, ``measure``, ``work``, ``followup``, ``handling``, ``score``, ``place``,
    ``advice``."""
    id: str
    label: str
    forms: tuple[str, ...]
    """Ways of saying it, lower case."""
    per: str = "foot"
    """``foot`` or ``horse``."""
    more: dict[str, Any] = field(default_factory=dict)
    """The table's other keys, e.g. ``disease``, ``place``, ``who``, ``low``, ``high``."""

    @property
    def disease(self) -> bool:
        """Whether it is a word for a disease: of the farrier always a suspicion."""
        return bool(self.more.get("disease"))

    @property
    def plain(self) -> bool:
        """Whether its words can mean nothing else, so that the second opinion's silence on them
        is no doubt."""
        return bool(self.more.get("plain"))

    @property
    def means(self) -> str:
        """The id that its words stand for: of a plain row what it emits, else its own."""
        return str(self.more["emits"]) if self.plain else self.id


@cache
def read_data(name: str) -> dict[str, Any]:
    """One data file, parsed.

    Args:
        name: file name without ``.toml``.
    """
    text = (files("fieldlog.language") / "data" / f"{name}.toml").read_text(encoding="utf-8")
    data = tomllib.loads(text)
    return data if name == "macros" or "{" not in text else {k: _filled(v) for k, v in data.items()}


def _filled(value: Any) -> Any:
    """The value with every ``{name}`` in its patterns replaced by the words of macros.toml."""
    if isinstance(value, str):
        while "{" in value:
            value = _MACRO.sub(lambda found: _macro(found[1]), value)
        return value
    if isinstance(value, list):
        return [_filled(one) for one in value]
    if isinstance(value, dict):
        return {key: _filled(one) for key, one in value.items()}
    return value


_MACRO = re.compile(r"\{(\w+)\}")


@cache
def _macro(name: str) -> str:
    """The words of one macro as a pattern.

    Raises:
        KeyError: macros.toml does not know the name.
    """
    choices = read_data("macros")[name]
    return choices[0] if len(choices) == 1 else "(" + "|".join(choices) + ")"


@cache
def word_set(name: str) -> frozenset[str]:
    """One of the small word sets of ``words.toml``."""
    return frozenset(read_data("words")[name])


@cache
def items(name: str) -> tuple[Item, ...]:
    """The ids of one data file, in file order.

    Args:
        name: a key of ``KINDS``.
    """
    table = KINDS[name]
    known = ("id", "label", "forms", "per")
    default_per = "horse" if table in ("handling", "score", "advice") else "foot"
    return tuple(
        Item(
            table=table,
            id=row["id"],
            label=row["label"],
            forms=tuple(row.get("forms", ())),
            per=row.get("per", default_per),
            more={key: value for key, value in row.items() if key not in known},
        )
        for row in read_data(name).get(table, ())
    )


@cache
def index() -> dict[tuple[str, str], Item]:
    """Every item by its table and id."""
    return {(item.table, item.id): item for name in KINDS for item in items(name)}


def find_item(code: str, table: str = "") -> Item | None:
    """The item with this id, looked for in ``table`` first and then everywhere."""
    hit = index().get((table, code))
    if hit is not None:
        return hit
    return next((item for (_, ident), item in index().items() if ident == code), None)


def item_per_horse(code: str) -> bool:
    """Whether a finding is of the whole horse: nothing that grows out."""
    item = find_item(code, "finding")
    return item is not None and item.per == "horse"
