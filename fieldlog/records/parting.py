"""A saved note that held two horses is parted: what begins at a place is the other horse's.

The note keeps its revisions and gets one more without that part; the part becomes a saved note of
its own, with the same words, sound, day and looks. Both links of the chain name the other note, so
that the step can be told and taken back. What the part had promised goes along as it stands: open,
done or moved to another day.
"""

from __future__ import annotations

import json
from dataclasses import replace

from fieldlog.core.facts import Entry, HorseMention
from fieldlog.core.visits import tells_of_a_visit
from fieldlog.errors import InputError
from fieldlog.records.drafts import cut
from fieldlog.records.redating import Redating
from fieldlog.records.saving import reasoned
from fieldlog.records.types import EntryState, FollowUpState, Horse, StoredEntry


class Parting(Redating):
    """One saved note of two horses becomes two notes, and one again."""

    def part_saved(
        self, entry_id: str, at: int, horse_id: str, reason: str
    ) -> tuple[StoredEntry, StoredEntry]:
        """Make what a saved note says from character ``at`` on a saved note of another horse.

        Args:
            entry_id: which note.
            at: where the other horse begins, in characters of the note's text.
            horse_id: the other horse.
            reason: why; kept with both.

        Returns:
            the note without that part, and the part.

        Raises:
            InputError: no reason, a draft, taken out on request, that horse's already, or nothing
                would be left on one side.
        """
        why, horse = reasoned(reason), self.standing(horse_id)
        with self.write():
            stored, first = self._movable(entry_id, "Part the draft itself.")
            if first.id == horse.id:
                raise InputError(f"This note is {horse.name}'s already.", "Choose another horse.")
            head, tail = cut(stored.entry, at)
            tail = replace(tail, horse=HorseMention(horse.name, (0, 0), known=True))
            self._put_revision(stored, head, why, parted_to=tail.id)
            part = self._insert_part(stored, tail, horse, why)
            self._promises_to(stored.id, part, tail)
            self._says_less(stored, first)
            self._says_more(part, horse)
        return self.entry(entry_id), self.entry(part.id)

    def rejoin(self, entry_id: str, before: StoredEntry, part_id: str, reason: str) -> None:
        """Take a parting back: the note says all of it again, and its part leaves the lists.

        Args:
            entry_id: the note.
            before: how it stood before it was parted.
            part_id: the note that was made of its part.
            reason: kept with both revisions.

        Raises:
            InputError: the part was corrected since.
        """
        with self.write():
            stored, horse = self._movable(entry_id, "Part the draft itself.")
            part = self.entry(part_id)
            if part.state is not EntryState.SAVED or self._corrected_since(part):
                raise InputError(
                    "The note that was parted from this one was corrected since.",
                    f"Take that back first: fieldlog notes undo {part_id[:8]}",
                )
            gone = replace(part.entry, facts=(), passages=())
            self._put_revision(replace(part, horse=horse), gone, reason, horse)
            self.run("UPDATE entries SET state = 'discarded' WHERE id = ?", [part_id])
            self._put_revision(stored, before.entry, reason)
            self._promises_to(part_id, stored, before.entry)
            if part.horse is not None:
                self._says_less(part, part.horse)
            self._says_more(replace(stored, entry=before.entry), horse)

    def _corrected_since(self, part: StoredEntry) -> bool:
        """Whether anything of a part is otherwise than when it was parted; its horse's name is
        not looked at, since two spellings may have become one."""
        first = self.revisions(part.id)[0]
        then = self.standing(first.horse.id) if first.horse else None
        now = part.horse
        moved = part.day != first.day or (then and then.id) != (now and now.id)
        return moved or part.entry.facts != first.entry.facts

    def _put_revision(
        self,
        stored: StoredEntry,
        entry: Entry,
        reason: str,
        horse: Horse | None = None,
        **more: str,
    ) -> None:
        """The next revision of a note; under another horse if one is given."""
        number = stored.revision + 1
        self.run(
            "UPDATE entries SET revision = ?, body = ?, horse_id = ? WHERE id = ?",
            [number, json.dumps(entry.to_dict()), _id_of(horse or stored.horse), stored.id],
        )
        self._append(stored, entry, number, reason, **more)

    def _insert_part(
        self, stored: StoredEntry, tail: Entry, horse: Horse, reason: str
    ) -> StoredEntry:
        self.run(
            """INSERT INTO entries (id, recording_id, horse_id, state, at, day, body, looked_at,
               revision)
               SELECT ?, recording_id, ?, 'saved', at, day, ?, looked_at, 1
               FROM entries WHERE id = ?""",
            [tail.id, horse.id, json.dumps(tail.to_dict()), stored.id],
        )
        part = replace(stored, id=tail.id, entry=tail, horse=horse, revision=1)
        self._append(part, tail, 1, reason, parted_from=stored.id)
        return part

    def _promises_to(self, one_id: str, other: StoredEntry, entry: Entry) -> None:
        """What facts of ``entry`` promised in one note is promised by the other, as it stands."""
        for fact in entry.facts:
            self.run(
                """UPDATE follow_ups SET entry_id = ?, horse_id = ?, sequence = sequence + 1
                   WHERE entry_id = ? AND fact_id = ?""",
                [other.id, _id_of(other.horse), one_id, fact.id],
            )

    def _says_less(self, stored: StoredEntry, horse: Horse) -> None:
        """A part of a note went away from a horse: its visit, and what it kept, are seen anew."""
        self.was_not_visited(horse.id, stored.day)
        reason = self.visited_on(stored.day)
        done = self.follow_ups(FollowUpState.DONE, horse_id=horse.id)
        again = {promise.id for promise in done if promise.reason == reason}
        for one in again:
            self.reopen_follow_up(one)
        for note in self.entries_of(horse.id):
            if note.day == stored.day:
                self.close_kept_by_visit(note, among=again)

    def _says_more(self, stored: StoredEntry, horse: Horse) -> None:
        """A part of a note came to a horse."""
        if tells_of_a_visit(stored.entry):
            self.visit_for(horse.id, stored.day)
        self._kept_anew(stored, horse.id)


def _id_of(horse: Horse | None) -> str | None:
    return horse.id if horse is not None else None
