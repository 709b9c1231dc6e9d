"""What became of facts: those of saved entries that were looked at, as first understood."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import replace

from fieldlog.core.facts import BY_HAND, Entry, Fact, FootBasis
from fieldlog.core.merging import content
from fieldlog.records.drafts import Drafts

MOST_ENTRIES = 400
"""Read at most so many saved entries, for the screen waits."""


class Outcomes(Drafts):
    """How well the understanding did, from the corrections that are kept."""

    _outcomes: tuple[tuple[int, int | None, int], list[tuple[Fact, bool]]] | None = None
    """What was read last, and of which state of the records."""

    def looked_at_facts(self, limit: int) -> list[tuple[Fact, bool]]:
        """Facts as understood that were looked at or corrected, and whether they stood unchanged.

        The newest entries first; of saved ones only, for a draft may still change. A fact that
        was taken out or parted counts as one that did not stand. Facts typed by hand do not count,
        nor do those that nobody looked at: that they were saved says nothing of them.

        Args:
            limit: how many facts at most.
        """
        rows = self.query(
            "SELECT (SELECT max(link) FROM revisions) AS link, count(*) AS gone FROM removals"
        )
        state = (limit, rows[0]["link"], rows[0]["gone"])
        if self._outcomes is None or self._outcomes[0] != state:
            self._outcomes = (state, self._read_outcomes(limit))
        return self._outcomes[1]

    def _read_outcomes(self, limit: int) -> list[tuple[Fact, bool]]:
        found: list[tuple[Fact, bool]] = []
        for first, saved, looked_at in self._understood_and_saved():
            kept = {fact.id: _said(fact) for fact in saved.facts}
            for fact in first.facts:
                stood = kept.get(fact.id) == _said(fact)
                if fact.rule != BY_HAND and (fact.id in looked_at or not stood):
                    found.append((fact, stood))
            if len(found) >= limit:
                break
        return found[:limit]

    def _understood_and_saved(self) -> Iterator[tuple[Entry, Entry, set[str]]]:
        # A part was saved with the note that it was parted from, and counts there.
        # The first revision: what a later one changed may be the hoof, not the understanding.
        rows = self.query(
            """SELECT r.body, e.looked_at,
                      (SELECT c.before FROM corrections c WHERE c.entry_id = e.id
                       ORDER BY c.id LIMIT 1) AS first
               FROM revisions r JOIN entries e ON e.id = r.entry_id
               WHERE r.number = 1 AND r.body <> ''
                 AND json_extract(r.body, '$.parted_from') IS NULL ORDER BY r.link DESC LIMIT ?""",
            [MOST_ENTRIES],
        )
        for row in rows:
            saved = Entry.from_dict(json.loads(row["body"])["entry"])
            first = Entry.from_dict(json.loads(row["first"])["entry"]) if row["first"] else saved
            yield first, saved, set(json.loads(row["looked_at"]))


def _said(fact: Fact) -> str:
    """What a fact says; a foot that was chosen by hand as it had been understood says the same."""
    return content(replace(fact, foot_basis=FootBasis.SAID))
