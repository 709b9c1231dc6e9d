"""Mend words that sound like a word of the trade, where their neighbours settle it.

The rules are data (``data/homophones.toml``). A mended word shows the new text and keeps what was
heard, so a person sees every change and may take it back.
"""

from __future__ import annotations

import functools
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from fieldlog.core.words import Word

DATA = Path(__file__).parent / "data" / "homophones.toml"
NEAR = 4
"""Words on either side that ``any_near`` looks at."""
UNSURE = 0.85
"""Confidence under which a rule with ``sure = false`` applies."""


@dataclass(frozen=True, slots=True)
class Rule:
    """One line of the table; empty sets ask nothing."""

    heard: tuple[str, ...]
    shown: tuple[str, ...]
    after: frozenset[str] = frozenset()
    before: frozenset[str] = frozenset()
    not_after: frozenset[str] = frozenset()
    not_before: frozenset[str] = frozenset()
    any_near: frozenset[str] = frozenset()
    sure: bool = True

    def fits(self, texts: Sequence[str], at: int, words: Sequence[Word]) -> bool:
        """Whether the rule applies to the words beginning at ``at``."""
        end = at + len(self.heard)
        if tuple(texts[at:end]) != self.heard:
            return False
        if not self.sure and min(w.confidence for w in words[at:end]) >= UNSURE:
            return False
        last = texts[at - 1] if at else ""
        following = texts[end] if end < len(texts) else ""
        if (self.after and last not in self.after) or last in self.not_after:
            return False
        if (self.before and following not in self.before) or following in self.not_before:
            return False
        near = {*texts[max(0, at - NEAR) : at], *texts[end : end + NEAR]}
        return not self.any_near or bool(near & self.any_near)


def read_rules(text: str) -> list[Rule]:
    """Rules of a table; ``@name`` in a list stands for the named list.

    Raises:
        ValueError: not TOML, or a rule without ``heard`` or ``shown``.
    """
    data = tomllib.loads(text)
    lists: dict[str, list[str]] = data.get("lists", {})

    def words(value: Any) -> frozenset[str]:
        items = [value] if isinstance(value, str) else list(value)
        out: set[str] = set()
        for item in items:
            out |= set(lists[item[1:]]) if item.startswith("@") else {item}
        return frozenset(out)

    rules = []
    for row in data.get("rule", []):
        if not row.get("heard") or not row.get("shown"):
            raise ValueError(f"a rule needs heard and shown: {row}")
        known = {"after", "before", "not_after", "not_before", "any_near"}
        context = {k: words(row[k]) for k in known & row.keys()}
        strange = row.keys() - known - {"heard", "shown", "sure"}
        if strange:
            raise ValueError(f"a rule has no field {', '.join(sorted(strange))}: {row}")
        rules.append(
            Rule(
                tuple(row["heard"].split()), tuple(row["shown"].split()),
                sure=bool(row.get("sure", True)), **context,
            )
        )  # fmt: skip
    # Longer ones first, so that "under run" is seen before "run".
    return sorted(rules, key=lambda r: -len(r.heard))


@functools.cache
def table() -> dict[str, list[Rule]]:
    """The shipped rules by their first heard word."""
    by_word: dict[str, list[Rule]] = {}
    for rule in read_rules(DATA.read_text(encoding="utf-8")):
        by_word.setdefault(rule.heard[0], []).append(rule)
    return by_word


def mend(words: Sequence[Word]) -> list[Word]:
    """The words with every applicable rule applied, left to right.

    Words that a rule changed are marked ``homophones:...``; words already changed by something
    else are left alone. Neighbours are taken as mended so far.
    """
    rules = table()
    out: list[Word] = []
    at = 0
    while at < len(words):
        texts = [w.text for w in out[-NEAR:]] + [w.text for w in words[at : at + NEAR + 3]]
        here = min(len(out), NEAR)
        around = [*out[-NEAR:], *words[at : at + NEAR + 3]]
        for rule in rules.get(words[at].text, ()):
            count = len(rule.heard)
            stretch = words[at : at + count]
            if any(w.changed_by for w in stretch) or not rule.fits(texts, here, around):
                continue
            out += _changed(stretch, rule)
            at += count
            break
        else:
            out.append(words[at])
            at += 1
    return out


def _changed(stretch: Sequence[Word], rule: Rule) -> list[Word]:
    """The mended words; where their number changes, they are one word with a space in it."""
    mark = f"homophones:{'-'.join(rule.shown)}"
    if len(rule.shown) == len(stretch):
        return [
            w.shown_as(text, mark) if w.text != text else w
            for w, text in zip(stretch, rule.shown, strict=True)
        ]
    whole = replace(
        stretch[0],
        text=" ".join(w.text for w in stretch),
        end=stretch[-1].end,
        confidence=min(w.confidence for w in stretch),
    )
    return [whole.shown_as(" ".join(rule.shown), mark)]
