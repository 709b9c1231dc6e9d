"""What was put off to the next visit is told when that visit is saved, and only then."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from fieldlog.core.facts import Due, Entry, Fact, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.for_this_visit import still_open
from fieldlog.records.store import Store
from tests.records.notes import AT
from tests.records.test_kept_promises import promise, seen

PADS = replace(promise("bring"), due=Due("next time", "", on=None))
FILMS = replace(promise("radiographs", who="vet"), due=Due("before the next trim", "", on=None))
DATED = replace(promise("call"), due=Due("next friday", "", on=date(2026, 12, 4)))
SOME_DAY = replace(promise("owner_care"), due=None)


def saved(store: Store, *facts: Fact, later: int = 0, horse: str = "Bramble") -> str:
    """The id of a note that was saved."""
    made = tuple(replace(f, id=f"{later} {n}") for n, f in enumerate(facts))
    mention = HorseMention(horse, (0, 0), known=True)
    entry = Entry(made, "said", (0, 4), mention)
    (draft,) = store.add_drafts(None, [entry], at=AT + timedelta(days=later))
    return store.save_entry(draft.id).id


def told(store: Store, note: str) -> list[str]:
    return sorted(line.code for line in still_open(store, [note]))


def test_at_the_next_visit_it_is_told_until_it_is_done_or_said_again(store: Store) -> None:
    assert told(store, saved(store, seen(Foot.LF), PADS, FILMS, DATED, SOME_DAY)) == []
    second = saved(store, seen(Foot.LF), later=42)
    assert told(store, second) == ["bring", "radiographs"]
    (films,) = (f for f in store.follow_ups() if f.code == "radiographs")
    store.close_follow_up(films.id)
    assert told(store, second) == ["bring"]
    third = saved(store, seen(Foot.LF), PADS, later=84)
    assert told(store, third) == [], "put off once more"
    assert told(store, saved(store, seen(Foot.LF), later=126)) == ["bring"]


def test_another_horse_or_a_call_is_not_that_visit(store: Store) -> None:
    store.add_horse("Rosie")
    saved(store, seen(Foot.LF), PADS)
    assert told(store, saved(store, seen(Foot.LF), later=42, horse="Rosie")) == []
    assert told(store, saved(store, SOME_DAY, later=43)) == []


def test_two_notes_of_one_visit_tell_it_once(store: Store) -> None:
    saved(store, seen(Foot.LF), PADS)
    both = [saved(store, seen(foot), later=42) for foot in (Foot.LF, Foot.RF)]
    assert [line.code for line in still_open(store, both)] == ["bring"]
