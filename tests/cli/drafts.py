"""Drafts and saved notes for the tests of commands."""

from __future__ import annotations

from pathlib import Path

from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, HorseMention, Passage
from fieldlog.core.feet import Foot
from fieldlog.records.store import Store


def add_draft(home: Path, horse: str = "Juniper", sure: bool = True) -> str:
    """One typed draft in the store; returns its id."""
    fact = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID, span=(0, 6))
    if not sure:
        fact = fact.with_doubt("foot_assumed", "Which left foot was meant?")
    entry = Entry((fact,), "thrush on the left hind", (0, 23), HorseMention(horse, (0, 0)))
    with Store.open(home / "fieldlog.db") as store:
        return store.add_drafts(None, [entry])[0].id


def save_note(home: Path, horse: str, text: str, *facts: Fact, loose: str = "") -> None:
    """One saved typed note; ``loose`` are words of it that made no fact."""
    at = text.index(loose)
    passages = (Passage((at, at + len(loose)), loose),) if loose else ()
    mention = HorseMention(horse, (0, 0), known=True)
    entry = Entry(facts, text, (0, len(text)), mention, passages)
    with Store.open(home / "fieldlog.db") as store:
        store.save_entry(store.add_drafts(None, [entry])[0].id)


def said(kind: FactKind, code: str, text: str, part: str, **details: str) -> Fact:
    """A promise or an advice in the words ``part`` of ``text``."""
    at = text.index(part)
    return Fact(kind, code, span=(at, at + len(part)), details=details)
