"""A copy of the saved notes for teaching: names, places, numbers and days are replaced.

Every client, horse and barn that is known becomes ``Client 1``, ``Horse 1``, ``Barn 1``; days
become days since the horse's first note; identity numbers, contact data and sound stay out. Names
that were spoken but never entered are looked for by the trained finder if it is there; it misses
some, so a human reads the copy before it is given away.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from fieldlog.records.store import Store
from fieldlog.records.types import StoredEntry

FORMAT = "fieldlog-teaching"
VERSION = 1
READ_FIRST = (
    "Known names, places and numbers are replaced. A name that was only spoken may be left: "
    "read this through before you give it away."
)
_LONG_NUMBER = re.compile(r"\d(?:[\s-]?\d){6,}")
_LEFT_OUT = frozenset({"id", "on", "until", "alternatives", "sound", "span", "why_foot", "doubts",
                       "readings", "confidence", "rule"})  # fmt: skip
_CODES = frozenset({"kind", "code", "feet", "foot_basis", "places", "unit", "severity", "trend",
                    "reporter", "against", "period"})  # fmt: skip
_NAMES = frozenset({"PERSON", "HORSE", "PLACE"})

Finder = Callable[[str], list[tuple[int, int]]]
"""Character spans of names in a text."""


def redacted(store: Store, finder: Finder | None = None) -> dict[str, Any]:
    """All saved notes without who and where, as plain data.

    Args:
        store: the open store.
        finder: finds names that are not in the store; see ``spoken_names``.
    """
    clean = _Cleaner(store, finder)
    horses = []
    for number, horse in enumerate(store.horses(), 1):
        entries = store.entries_of(horse.id)
        if not entries:
            continue
        first = entries[0].day
        notes = [clean.note(stored, (stored.day - first).days) for stored in entries]
        horses.append({"name": f"Horse {number}", "sex": horse.sex, "notes": notes})
    return {"format": FORMAT, "version": VERSION, "read_first": READ_FIRST, "horses": horses}


def spoken_names() -> Finder | None:
    """The trained finder of names, or None where it is not installed."""
    from fieldlog.language.names_model import finder, shipped_model

    folder = shipped_model()
    if folder is None:
        return None
    find = finder(folder)
    return lambda text: [(n.start, n.end) for n in find((text,))[0] if n.label in _NAMES]


class _Cleaner:
    """Replaces what it knows, the longest name first."""

    def __init__(self, store: Store, finder: Finder | None) -> None:
        self._finder = finder
        self._stand_ins: dict[str, str] = {}
        for number, horse in enumerate(store.horses(), 1):
            for name in (horse.name, *store.other_names(horse.id)):
                self._know(name, f"Horse {number}")
        barns = sorted({h.barn for h in store.horses() if h.barn})
        for number, barn in enumerate(barns, 1):
            others = [n for n, stays in store.other_spellings("barn") if stays == barn]
            for name in (barn, *others):
                self._know(name, f"Barn {number}")
        for number, client in enumerate(store.clients(), 1):
            others = [n for n, stays in store.other_spellings("client") if stays == client.id]
            for name in (client.name, *others):
                self._know(name, f"Client {number}")
                # A client is often spoken of by one name only.
                for word in re.findall(r"\w{2,}", name):
                    self._know(word, f"Client {number}")
        names = sorted(self._stand_ins, key=len, reverse=True)
        joined = "|".join(re.escape(n) for n in names)
        self._pattern = re.compile(rf"(?<!\w)(?:{joined})(?!\w)", re.IGNORECASE) if names else None

    def _know(self, name: str, stand_in: str) -> None:
        self._stand_ins.setdefault(" ".join(name.split()).casefold(), stand_in)

    def note(self, stored: StoredEntry, day: int) -> dict[str, Any]:
        """One note: its own words, and its facts without ids and dates."""
        text = stored.entry.words
        spans = self._finder(text) if self._finder is not None else []
        spoken = {text[a:b].casefold() for a, b in spans} - set(self._stand_ins)
        return {
            "day": day,
            "text": self._text(text, spoken),
            "facts": [self._plain(f.to_dict(), spoken, "") for f in stored.entry.facts],
        }

    def _text(self, text: str, spoken: set[str]) -> str:
        for name in sorted(spoken, key=len, reverse=True):
            text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", "[name]", text, flags=re.IGNORECASE)
        if self._pattern is not None:
            text = self._pattern.sub(lambda m: self._stand_ins.get(m[0].casefold(), "[name]"), text)
        return _LONG_NUMBER.sub("[number]", text)

    def _plain(self, value: Any, spoken: set[str], under: str) -> Any:
        if isinstance(value, str):
            # Codes are the lexicon's own words; a client may be called Trim.
            return value if under in _CODES else self._text(value, spoken)
        if isinstance(value, list):
            return [self._plain(v, spoken, under) for v in value]
        if isinstance(value, dict):
            return {k: self._plain(v, spoken, k) for k, v in value.items() if k not in _LEFT_OUT}
        return value
