"""Corrections of saved notes on the command line: made, and told afterwards."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from fieldlog.cli.notes_commands import SHORT
from fieldlog.cli.session import Session, plain, say
from fieldlog.errors import InputError

if TYPE_CHECKING:
    from fieldlog.core.facts import Fact
    from fieldlog.language.personal import PersonalRules
    from fieldlog.records.types import StoredEntry


def numbered(stored: StoredEntry, number: int) -> Fact:
    """The fact with this number in “notes show”.

    Raises:
        InputError: there is none.
    """
    facts = stored.entry.facts
    if not 1 <= number <= len(facts):
        from fieldlog.core.counting import counted

        raise InputError(
            f"This note has {counted(len(facts), 'fact')}, but no number {number}.",
            f"“fieldlog notes show {stored.id[:SHORT]}” numbers them.",
        )
    return facts[number - 1]


def check_reason(reason: str) -> None:
    """Refuse a correction without its reason."""
    if not reason.strip():
        raise InputError(
            "A saved note changes only for a reason.", 'Add one, e.g. --reason "wrong foot".'
        )


def understood(
    session: Session, stored: StoredEntry, sentence: str, typed: str
) -> tuple[list[Fact], str]:
    """The facts of a typed sentence, and a sentence about the words that made none, or nothing.

    Raises:
        InputError: it makes no fact.
    """
    from fieldlog.app import retyping, understanding

    facts, left = understanding.typed_whole(sentence, stored.at, session.settings, session.places)
    if not facts:
        raise InputError(retyping.not_understood(typed), "Nothing was changed.")
    return facts, left


def replace_fact(
    session: Session, stored: StoredEntry, old: Fact, new: Sequence[Fact], reason: str
) -> None:
    """Put facts in the place of one."""
    if len(new) == 1 and said_fact(session, new[0]) == said_fact(session, old):
        raise InputError(
            f"The note says that already: {said_fact(session, old)}.", "Nothing to change."
        )
    facts: list[Fact] = []
    for fact in stored.entry.facts:
        facts.extend(new if fact.id == old.id else (fact,))
    revise(session, stored, facts, reason)


def revise(session: Session, stored: StoredEntry, facts: Sequence[Fact], reason: str) -> None:
    """Keep other facts as a new revision, unless the note was changed meanwhile."""
    check_reason(reason)
    store = session.store

    def revised() -> StoredEntry:
        with store.write():
            if store.entry(stored.id).revision != stored.revision:
                raise InputError(
                    "This note was changed in another window meanwhile.",
                    f"Look at it again: fieldlog notes show {stored.id[:SHORT]}",
                )
            return store.revise_entry(stored.id, tuple(facts), reason)

    correct(session, stored, revised)


def correct(session: Session, stored: StoredEntry, job: Callable[[], StoredEntry]) -> None:
    """Correct a note by ``job``, and say what that changed."""
    from fieldlog.app.promises_told import corrected

    after, told = corrected(session.store, stored, job)
    _tell(session, stored, after, told)


def lesson_of(session: Session, stored: StoredEntry) -> tuple[PersonalRules, str] | None:
    """What the last correction of a note teaches, if it changed one fact; and that in words."""
    from fieldlog.app import understanding

    revisions = session.store.revisions(stored.id)
    if len(revisions) < 2:
        return None
    if any(r.entry.facts == revisions[-1].entry.facts for r in revisions[:-1]):
        return None  # a correction that was taken back teaches nothing
    old = {f.id: f for f in revisions[-2].entry.facts}
    changed = [f for f in revisions[-1].entry.facts if f.id in old and f != old[f.id]]
    if len(changed) != 1:
        return None
    before = old[changed[0].id]
    words = stored.entry.text[before.span[0] : before.span[1]]
    rules, said = understanding.lesson(session.places, before, changed[0], words)
    return (rules, said) if rules is not None and said else None


# what is said


def _tell(session: Session, before: StoredEntry, after: StoredEntry, told: Sequence[str]) -> None:
    """Say what a correction changed, what stays, and how to go back."""
    short = after.id[:SHORT]
    whose = after.horse.name if after.horse else ""
    say(f"{short}  {whose}, {after.day}: now revision {after.revision}.")
    say("\n".join(_changed(session, before, after)))
    for sentence in told:
        say(sentence)
    say(f"The words and revision {before.revision} stay: fieldlog notes show {short} --all")
    say(_way_back(session, after))


def _way_back(session: Session, after: StoredEntry) -> str:
    """What the next undo does; behind an undo it is not the undo that it takes back."""
    from fieldlog.records.taking_back import TAKEN_BACK

    undo = f"fieldlog notes undo {after.id[:SHORT]}"
    if after.reason != TAKEN_BACK:
        return f"To take this back: {undo}"
    if session.store.can_take_back(after.id):
        return f"To take back the correction before that as well: {undo}"
    return "It stands as it was first saved."


def _changed(session: Session, before: StoredEntry, after: StoredEntry) -> list[str]:
    """A line for each thing that differs between two revisions."""
    lines = []
    if before.horse and after.horse and before.horse.id != after.horse.id:
        store = session.store
        lines += [
            f"  was  {store.full_name(before.horse)}",
            f"  now  {store.full_name(after.horse)}",
        ]
    if before.day != after.day:
        lines += [f"  was  {before.day}", f"  now  {after.day}"]
    from fieldlog.papers.corrections import changes

    found = changes(before.entry.facts, after.entry.facts, lambda f: said_fact(session, f))
    return lines + [f"  {how}  {said}" for how, said in found]


def revision_lines(session: Session, before: StoredEntry | None, after: StoredEntry) -> list[str]:
    """A revision and what it changed; the first one whole."""
    when = f"{after.saved_at:%Y-%m-%d %H:%M}" if after.saved_at else ""
    if before is None:
        whose = after.horse.name if after.horse else ""
        first = [f"  {said_fact(session, f)}" for f in after.entry.facts]
        of = after.parted_from[:SHORT]
        parted = f", parted from note {of}: {after.reason}" if of else ""
        return [f"Revision 1, saved {when} for {whose}{parted}:", *first]
    why = [f"Revision {after.revision}, saved {when}: {after.reason}"]
    if after.parted_to:
        why.append(f"  parted: what follows is note {after.parted_to[:SHORT]} since then")
    return why + _changed(session, before, after)


def data_of(session: Session, stored: StoredEntry) -> dict[str, object]:
    """A saved note as plain data for JSON."""
    return {
        "id": stored.id,
        "at": stored.at.isoformat(),
        "horse": plain(stored.horse),
        "revision": stored.revision,
        "saved_at": stored.saved_at.isoformat() if stored.saved_at else None,
        "reason": stored.reason,
        "said": words_of(stored),
        "facts": [
            {"number": number, "words": said_fact(session, fact), **fact.to_dict()}
            for number, fact in enumerate(stored.entry.facts, 1)
        ],
    }


def words_of(stored: StoredEntry) -> str:
    """The words of a note as they were spoken."""
    return stored.entry.words if stored.entry.text else "(taken out on request)"


def said_fact(session: Session, fact: Fact) -> str:
    """A fact in words, its feet as the farrier calls them."""
    from fieldlog.language.in_words import in_words

    return in_words(fact, session.settings.british_names)
