"""What an entry of the day screen shows of itself."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.app.filing import view
from fieldlog.app.views import next_spot, summary
from fieldlog.app.widgets.entry_pane import NO_FACTS, fact_content
from fieldlog.config import Settings
from fieldlog.core.facts import Entry
from fieldlog.paths import Places
from fieldlog.records.store import Store


def test_a_note_without_facts_asks_for_a_look(where: Places) -> None:
    """It looked sure, and n never went there: words of which nothing was understood."""
    with Store.open(where.database) as store:
        stored = store.entry("entry-juniper")
        bare = replace(stored, entry=Entry((), stored.entry.text, stored.entry.span))
        shown = view(store, bare, Settings())
    assert (shown.waiting, shown.sign, shown.sure) == (1, "?", False)
    assert next_spot([shown], 0, "nothing") == (0, "")
    assert summary([shown]).endswith("1 to look at")
    assert fact_content(shown, None, 60, british=False).plain == NO_FACTS
