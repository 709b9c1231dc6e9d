"""The network's names for what is said, and for how it is told."""

from __future__ import annotations

from functools import cache
from typing import Any

from fieldlog.core.facts import Fact
from fieldlog.language.lexicon import read_data

SAME = {
    "sound": "lameness", "tester_negative": "tester_positive", "next_trim_weak": "next_trim",
    "cycle": "next_trim", "call_weak": "call", "owner_care_weak": "owner_care",
    "second_handler_weak": "second_handler", "sedation_weak": "sedation_by_vet",
    "check_weak": "recheck", "recheck_weak": "recheck", "vet_weak": "vet_visit",
}  # fmt: skip
"""Codes that the network knows under another name."""
TURNED = frozenset({"sound", "tester_negative"})
"""Those of them that deny their other name; ``denies`` has the ids that can do nothing else."""
FLAGS = ("uncertain", "historical", "planned")
"""Flags of a fact that have an output of their own."""


@cache
def denies() -> dict[str, str]:
    """Ids that only ever make another code, denied: a cool foot is heat denied."""
    rows = [*read_data("findings")["finding"], *read_data("work")["work"]]
    return {row["id"]: row["emits"] for row in rows if row.get("emits_negated")}


@cache
def label(code: str, negated: bool) -> str:
    """The network's name for a code, ``not:`` before it where it is said to be absent."""
    denied = negated != (code in TURNED or code in denies())
    code = denies().get(code, code)
    return ("not:" if denied else "") + SAME.get(code, code)


def told_with(fact: dict[str, Any]) -> list[str]:
    """The network's names for how a fact was told: feet, places, flags, who says so.

    Args:
        fact: its fields as ``Fact.to_dict`` or the gold notes have them.
    """
    out = [f"@{foot}" for foot in fact.get("feet", ())]
    for place in fact.get("places", ()):
        side, _, part = place.partition("_")
        if side not in ("medial", "lateral"):
            side, part = "", place
        out += [f"@{side}"] if side else []
        out += [f"@at_{part}"] if part not in ("", "wall") or not side else []
    out += [f"@{flag}" for flag in FLAGS if fact.get(flag)]
    out += [f"@{fact['severity']}"] if fact.get("severity") else []
    reporter = fact.get("reporter")
    out += [f"@{reporter}"] if reporter and reporter != "farrier" else []
    out += [f"@{fact['comparison']['trend']}"] if fact.get("comparison") else []
    return out


def as_told(fact: Fact) -> dict[str, Any]:
    """The fields of a fact that ``told_with`` reads; all of ``Fact.to_dict`` takes far longer."""
    compared = fact.comparison
    return {
        "code": fact.code,
        "feet": fact.feet,
        "places": fact.places,
        "severity": fact.severity,
        "reporter": fact.reporter,
        "comparison": {"trend": compared.trend} if compared is not None else None,
        **{flag: getattr(fact, flag) for flag in FLAGS},
    }
