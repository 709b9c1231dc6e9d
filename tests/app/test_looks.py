"""What was looked at and stood makes the app, the commands and the settings ask less."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

from click.testing import CliRunner

from fieldlog.app import filing
from fieldlog.app.widgets.entry_pane import fact_content
from fieldlog.cli.main import cli
from fieldlog.config import Settings
from fieldlog.core.facts import Entry, Fact, FactKind, HorseMention
from fieldlog.records.store import Store

SAID = "no thrush"


def keep(store: Store, number: int, looked_at: bool, heard: float = 0.7) -> str:
    """A draft of one fact heard with some chance, saved after a look if wanted; its id."""
    fact = Fact(FactKind.FINDING, "thrush", negated=True, span=(0, len(SAID)), confidence=heard)
    entry = Entry((fact,), SAID, span=(0, len(SAID)), horse=HorseMention("Bramble", (0, 0)))
    at = datetime(2026, 11, 25, 9, number, tzinfo=UTC)
    (draft,) = store.add_drafts(None, [entry], at=at)
    if looked_at:
        store.accept_fact(draft.id, fact.id)
        store.save_entry(draft.id)
    return draft.id


def test_what_was_saved_without_a_look_is_told_as_such(tmp_path: Path) -> None:
    settings = Settings(accept_above=0.78)
    with Store.open(tmp_path / "fieldlog.db") as store:
        store.add_horse("Bramble")
        entry_id = keep(store, 0, looked_at=False)
        store.save_entry(entry_id)
        view = filing.view(store, store.entry(entry_id), settings)
        (fact,) = view.entry.facts
        told = fact_content(view, fact, 100, british=False).plain
        assert "1 of 1, saved without a look. " in told
        assert view.unseen[fact.id][0].reason in told
        assert view.waiting == 0, "n does not stop at what is on record"
        other = keep(store, 1, looked_at=True)
        assert filing.view(store, store.entry(other), settings).unseen == {}
        store.revise_entry(entry_id, (replace(fact, negated=False),), "there was some")
        assert filing.view(store, store.entry(entry_id), settings).unseen == {}


def test_after_forty_looks_that_stood_the_next_is_not_asked_about(tmp_path: Path) -> None:
    settings = Settings(accept_above=0.78)
    (tmp_path / "fieldlog.toml").write_text("accept_above = 0.78\n", encoding="utf-8")

    def run(*arguments: str) -> str:
        return CliRunner().invoke(cli, ["--home", str(tmp_path), *arguments]).output

    with Store.open(tmp_path / "fieldlog.db") as store:
        store.add_horse("Bramble")
        waiting = keep(store, 0, looked_at=False)
        (fact,) = filing.view(store, store.entry(waiting), settings).entry.facts
        assert [d.code for d in fact.doubts] == ["low_confidence"]
        assert "0 saved" in run("save", "--sure")
        for number in range(1, 41):
            keep(store, number, looked_at=True)
        (fact,) = filing.view(store, store.entry(waiting), settings).entry.facts
        assert not fact.doubts
        without = Settings(accept_above=0.78, learn_from_looks=False)
        (fact,) = filing.view(store, store.entry(waiting), without).entry.facts
        assert fact.needs_look
        unlike = keep(store, 50, looked_at=False, heard=0.2)
        (stored,) = store.entry(waiting).entry.facts
        assert stored.confidence == 0.7, "what is kept is the chance as understood"
    late = run("save", unlike[:8])
    assert "1 fact in it asked for a look and got none" in late, "a low chance counts as well"
    told = " ".join(run("settings").split())
    assert "Of the last 40 facts that you looked at, 40 stood as understood; 28 would" in told
    assert "1 saved" in run("save", "--sure")
