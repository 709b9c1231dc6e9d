"""The gold notes: short annotation lines read into comparable facts. See GUIDE.md."""

from __future__ import annotations

import difflib
import re
from argparse import ArgumentTypeError
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
SPLITS = (
    "train", "dev", "test", "dev_a", "dev_b", "dev_c", "dev_d", "dev_e", "dev_f", "dev_g",
    "dev_h", "dev_i", "dev_j", "dev_k", "dev_l", "dev_m", "dev_n", "dev_o", "dev_p", "dev_q",
    "dev_r", "dev_s", "dev_t", "dev_u", "dev_v", "dev_w", "dev_x", "dev_y",
    "dev_aa", "dev_ab", "dev_ac", "dev_ad", "dev_ae", "dev_af",
    "dev_ag", "dev_ah", "dev_ai", "dev_aj", "dev_ak", "dev_al",
    "dev_am", "dev_an", "dev_ao", "dev_ap", "dev_aq", "dev_ar",
    "dev_as", "dev_at", "dev_au", "dev_av", "dev_aw", "dev_ax",
    "dev_ay", "dev_az", "dev_ba", "dev_bb", "dev_bc", "dev_bd", "dev_be", "dev_bf", "dev_bg",
    "blind_a", "blind_b", "blind_c", "blind_d", "blind_e", "blind_f", "blind_g",
)  # fmt: skip
TOGETHER = {
    "fresh": ("dev_a", "dev_b"),
    "late": ("dev_c", "dev_d"),
    "last": ("dev_e", "dev_f"),
    "newest": ("dev_g", "dev_h", "dev_i"),
    "recent": ("dev_j", "dev_k"),
    "newcomers": ("dev_l", "dev_m", "dev_n"),
    "latest": ("dev_o", "dev_p", "dev_q"),
    "summer": ("dev_r", "dev_s", "dev_t", "dev_u", "dev_v"),
    "winter": ("dev_w", "dev_x", "dev_y"),
    "harvest": ("dev_aa", "dev_ab", "dev_ac", "dev_ad", "dev_ae", "dev_af"),
    "tilth": (
        "dev_ag", "dev_ah", "dev_ai", "dev_aj", "dev_ak", "dev_al",
        "dev_am", "dev_an", "dev_ao", "dev_ap", "dev_aq", "dev_ar",
    ),
    "meadow": (
        "dev_as", "dev_at", "dev_au", "dev_av", "dev_aw", "dev_ax",
        "dev_ay", "dev_az", "dev_ba", "dev_bb", "dev_bc", "dev_bd",
    ),
    "fallow": ("dev_be", "dev_bf"),
    "rounds": ("dev_bg",),
    "blind": ("blind_a", "blind_b"),
    "stranger": ("blind_c", "blind_d"),
    "outsider": ("blind_e", "blind_f"),
    "circuit": ("blind_g",),
}  # fmt: skip
"""Names for several splits at once."""
UNSEEN = frozenset(
    {"test"}.union(
        *({name, *TOGETHER[name]} for name in ("blind", "stranger", "outsider", "circuit"))
    )
)
"""Nobody reads notes or errors of these; they are only counted."""
OPEN_SPLITS = tuple(split for split in (*SPLITS, *TOGETHER) if split not in UNSEEN)
"""Splits whose notes and errors may be read."""
FEET = {
    "-": (),
    "?": (),
    "LF": ("LF",),
    "RF": ("RF",),
    "LH": ("LH",),
    "RH": ("RH",),
    "FR": ("LF", "RF"),
    "HI": ("LH", "RH"),
    "LE": ("LF", "LH"),
    "RI": ("RF", "RH"),
    "ALL": ("LF", "RF", "LH", "RH"),
}
KINDS = {
    "f": "finding",
    "m": "measurement",
    "w": "work",
    "u": "follow_up",
    "h": "handling",
    "a": "advice",
    "s": "score",
}
FLAGS = {"neg": "negated", "?": "uncertain", "hx": "historical", "plan": "planned"}
_VALUE = re.compile(r"(~?)(-?\d+(?:\.\d+)?)(?:\.\.(\d+(?:\.\d+)?))?([a-z%]+)")


@dataclass(frozen=True)
class Note:
    """One dictation as typed, with its writer's style and the facts that it holds."""

    style: str
    text: str
    facts: list[dict[str, Any]] = field(default_factory=list)
    """Those of several horses say of which: ``horse``, a place in ``horses``."""
    horses: list[str] = field(default_factory=list)
    """As they were told, in order; none where the writer did not tell them apart."""

    @property
    def as_heard(self) -> str:
        """The words as a recogniser writes them."""
        return as_heard(self.text)


def as_heard(text: str) -> str:
    """The words as a recogniser writes them: lower case, no punctuation."""
    return re.sub(r"\s+", " ", re.sub(r"[^\w\s']", " ", text.lower())).strip()


def read_fact(line: str) -> dict[str, Any]:
    """One annotation line, e.g. ``LF m toe_length 3.25in``.

    Raises:
        ValueError: a token that the guide does not know.
    """
    feet, kind, code, *rest = line.split()
    fact: dict[str, Any] = {"kind": KINDS[kind], "code": code, "feet": list(FEET[feet])}
    for token in rest:
        value = _VALUE.fullmatch(token)
        if token in FLAGS:
            fact[FLAGS[token]] = True
        elif token in ("mild", "moderate", "severe"):
            fact["severity"] = token
        elif token in ("owner", "vet", "other"):
            fact["reporter"] = token
        elif token.startswith("@"):
            fact.setdefault("places", []).append(token[1:])
        elif token.startswith("cmp:"):
            trend, _, against = token[4:].partition(":")
            fact["comparison"] = {"trend": trend, "against": against or "last_visit"}
        elif token.startswith("due:"):
            when = token[4:]
            name = "period" if when[0] == "P" else "on" if when[0].isdigit() else "anchor"
            fact["due"] = {name: when}
        elif value:
            near, low, high, unit = value.groups()
            fact["quantity"] = {"value": float(low), "unit": unit}
            if high:
                fact["quantity"]["high"] = float(high)
            if near:
                fact["quantity"]["approximate"] = True
        else:
            raise ValueError(f"unknown token {token!r} in {line!r}; see GUIDE.md")
    return fact


def when_meant(due: dict[str, Any] | None) -> str | None:
    """What a time (``Due`` or an annotated one, as a dict) is compared by; whole weeks in weeks."""
    if not due:
        return None
    period = due.get("period") or ""
    days = re.fullmatch(r"P(\d+)D", period)
    if days and int(days[1]) % 7 == 0:
        period = f"P{int(days[1]) // 7}W"
    return period or due.get("anchor") or due.get("on") or None


def one_of(splits: tuple[str, ...]) -> Callable[[str], str]:
    """The ``type`` of an argument of argparse that names one of ``splits``.

    Unlike ``choices`` it keeps some eighty names out of ``--help``; a wrong one is told of all.
    """

    def checked(name: str) -> str:
        if name in splits:
            return name
        if name in UNSEEN:
            raise ArgumentTypeError(
                f"nobody reads the notes or errors of {name}; --split counts them"
            )
        near = difflib.get_close_matches(name, splits, n=1)
        meant = f" (is {near[0]} meant?)" if near else ""
        raise ArgumentTypeError(f"there is no split {name}{meant}; there are: {', '.join(splits)}")

    return checked


def read_notes(split: str) -> list[Note]:
    """All notes of a split, or of several (``TOGETHER``); none if it is not written yet.

    A note is a ``>`` line and the fact lines under it; a ``horse`` line stands above those of one
    horse.
    """
    if split in TOGETHER:
        return [note for part in TOGETHER[split] for note in read_notes(part)]
    return notes_in(HERE / f"{split}.txt")


def notes_in(path: Path) -> list[Note]:
    """The notes of a file; none if there is no such file.

    Raises:
        ValueError: a line that the guide does not know.
    """
    notes: list[Note] = []
    style = ""
    lines = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
    for line in lines:
        if line.startswith("=="):
            style = line.strip("= ")
        elif line.startswith(">"):
            notes.append(Note(style, line[1:].strip()))
        elif line.startswith("horse "):
            notes[-1].horses.append(line.partition(" ")[2].strip())
        elif line.strip() and not line.startswith("#"):
            fact = read_fact(line)
            if notes[-1].horses:
                fact["horse"] = len(notes[-1].horses) - 1
            notes[-1].facts.append(fact)
    return notes
