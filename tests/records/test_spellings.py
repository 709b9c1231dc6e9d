"""Two spellings of one horse, owner or barn: one record, everything along, and a way back.

That two names can be one animal, and that a microchip number belongs to one animal only, is
ISO 11784; the rest is common practice, no source.
"""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from fieldlog.core.facts import Entry
from fieldlog.core.feet import Foot
from fieldlog.errors import InputError, NotFound
from fieldlog.papers.discretion import names_of_others
from fieldlog.papers.exchange import everything
from fieldlog.records.redact import redacted
from fieldlog.records.store import Store
from fieldlog.records.types import EntryState, FollowUpState, Horse
from tests.records.notes import AT, note
from tests.records.test_kept_promises import promise, seen, visit


def rosies(store: Store) -> tuple[Horse, Horse]:
    """Rosy (two visits, a draft) and Rosie (one visit between), as they were noted."""
    owner = store.add_client("Dana Brook", phone="555 0101")
    rosy = store.add_horse("Rosy", client_id=owner.id, barn="Long Acre", caution="kicks behind")
    rosie = store.add_horse("Rosie", client_id=owner.id, caution="head shy")
    visit(store, seen(Foot.LF), promise("next_trim"), horse="Rosy")
    visit(store, seen(Foot.RF), promise("recheck", Foot.RF), horse="Rosie", later=42)
    visit(store, seen(Foot.LF), horse="Rosy", later=84)
    store.add_drafts(None, [note("Rosy")], at=AT + timedelta(days=90))
    return rosy, rosie


def known(store: Store) -> str:
    """Everything in the records that a person can see, but the chain and the times of changes."""
    tables = everything(store)["tables"]
    seen_rows = {t: tables[t] for t in ("clients", "horses", "visits", "saved_facts")}
    drafts = [(d.id, d.horse and d.horse.id, d.entry.facts) for d in store.drafts()]
    promises = [replace(p, sequence=0) for p in store.follow_ups(None)]
    order = {t: sorted(map(str, rows)) for t, rows in seen_rows.items()}
    return json.dumps([order, sorted(map(str, drafts)), sorted(map(str, promises))])


def test_all_that_was_noted_of_one_spelling_is_the_others(store: Store) -> None:
    rosy, rosie = rosies(store)
    done = store.horse_same(rosy.id, rosie.id)
    assert (done.saved, done.drafts, done.promises) == (2, 1, 0)
    assert [h.name for h in store.horses()] == ["Bramble", "Juniper", "Rosie"]
    days = [AT.date() + timedelta(days=d) for d in (84, 42, 0)]
    assert [v.day for v in store.visits(rosie.id)] == days
    assert len(store.entries_of(rosie.id)) == 3
    assert {f.day for f in store.saved_facts(rosie.id)} == set(days)
    assert {hit.horse for hit in store.search("horse:Rosy thrush")} == {"Rosie"}
    assert len(store.search("horse:Rosie thrush")) == 3
    assert [d.horse and d.horse.name for d in store.drafts()] == ["Rosie"]
    assert {d.horse.name for d in store.visits_due()} == {"Rosie", "Bramble", "Juniper"}
    assert store.integrity() == []


def test_the_chain_keeps_under_which_name_a_note_stood(store: Store) -> None:
    rosy, rosie = rosies(store)
    first = store.entries_of(rosy.id)[0]
    store.horse_same(rosy.id, rosie.id)
    assert store.verify_chain().ok
    names = [(r.horse and r.horse.name, r.reason) for r in store.revisions(first.id)]
    assert names == [("Rosy", ""), ("Rosie", "two spellings of one horse")]
    assert store.entry(first.id).entry == first.entry


def test_cautions_of_both_are_kept_and_what_is_empty_is_filled(store: Store) -> None:
    rosy, rosie = rosies(store)
    horse = store.horse_same(rosy.id, rosie.id).horse
    assert (horse.caution, horse.barn) == ("head shy; kicks behind", "Long Acre")


def test_what_differs_is_told_and_the_one_that_stays_keeps_its_own(store: Store) -> None:
    rosy, rosie = rosies(store)
    store.update_horse(replace(store.horse(rosy.id), colour="chestnut", cycle_weeks=5))
    store.update_horse(replace(store.horse(rosie.id), colour="bay"))
    done = store.horse_same(rosy.id, rosie.id)
    assert done.differs == ("colour chestnut",)
    assert (done.horse.colour, done.horse.cycle_weeks) == ("bay", 5)


def test_a_visit_under_one_name_keeps_the_promise_under_the_other(store: Store) -> None:
    rosy, rosie = rosies(store)
    assert {p.code for p in store.follow_ups()} == {"recheck"}
    store.add_follow_up("next_trim", "trim", horse_id=rosie.id)
    own = store.add_follow_up("vet_visit", "vet", who="vet", horse_id=rosy.id)
    visit(store, seen(Foot.RF), seen(Foot.LF), horse="Rosy", later=100)
    assert store.horse_same(rosy.id, rosie.id).kept == 2
    assert {p.code for p in store.follow_ups()} == {"vet_visit"}
    recheck = next(p for p in store.follow_ups(None) if p.code == "recheck")
    assert (recheck.state, recheck.horse) == (FollowUpState.DONE, "Rosie")
    assert store.follow_up(own.id).horse == "Rosie"


def test_parted_again_all_is_as_it_was(store: Store) -> None:
    rosy, rosie = rosies(store)
    store.add_follow_up("vet_visit", "vet", who="vet", horse_id=rosy.id)
    visit(store, seen(Foot.RF), seen(Foot.LF), horse="Rosy", later=42)  # Rosie's day too
    before = known(store)
    store.horse_same(rosy.id, rosie.id)
    assert known(store) != before
    one, other = store.horse_apart("rosy")
    assert (one.name, other.name) == ("Rosy", "Rosie")
    assert known(store) == before
    assert store.verify_chain().ok
    with pytest.raises(InputError, match="no other spelling"):
        store.horse_apart("rosy")


def test_parted_again_what_was_done_since_stays(store: Store) -> None:
    rosy, rosie = rosies(store)
    store.horse_same(rosy.id, rosie.id)
    visit(store, seen(Foot.LH), horse="Rosie", later=0)  # Rosy's day too
    store.update_horse(replace(store.horse(rosie.id), caution="kicks with both hinds"))
    given = store.entries_of(rosie.id)[0]
    bramble = store.horse_named("Bramble")
    store.give_to_horse(given.id, bramble.id, "said under the wrong horse")
    store.horse_apart("Rosy")
    assert store.horse(rosie.id).caution == "kicks with both hinds"
    assert [e.id for e in store.entries_of(bramble.id)] == [given.id]
    assert AT.date() in {v.day for v in store.visits(rosie.id)}
    assert [v.day for v in store.visits(rosy.id)] == [AT.date() + timedelta(days=84)]
    assert store.integrity() == []


def test_a_note_in_the_old_name_is_the_horses(store: Store) -> None:
    rosy, rosie = rosies(store)
    store.horse_same(rosy.id, rosie.id)
    (draft,) = store.add_drafts(None, [note("rosy")], at=AT)
    assert draft.horse is not None
    assert draft.horse.id == rosie.id
    assert store.horse_named("Rosy").id == rosie.id
    assert "Rosy" in store.names_of_the_day()
    assert "Rosy" in store.horse_names()
    assert store.other_names(rosie.id) == ["Rosy"]


def test_a_window_that_still_shows_the_old_horse_reaches_the_one_it_is(store: Store) -> None:
    rosy, rosie = rosies(store)
    (draft,) = store.add_drafts(None, [note("Nobody")], at=AT)
    stale = store.horse(rosy.id)
    store.horse_same(rosy.id, rosie.id)
    assigned = store.assign_horse(draft.id, rosy.id)
    assert assigned.horse is not None
    assert assigned.horse.id == rosie.id
    assert store.add_follow_up("recheck", "look", horse_id=rosy.id).horse == "Rosie"
    with pytest.raises(InputError, match="another spelling of Rosie"):
        store.update_horse(replace(stale, caution="bites"))
    assert [h.name for h in store.find_horses("Rosy")] == ["Rosie"]


def test_undo_of_a_draft_does_not_bring_the_old_horse_back(store: Store) -> None:
    rosy, rosie = rosies(store)
    (draft,) = store.drafts()
    store.assign_horse(draft.id, store.horse_named("Bramble").id)
    store.horse_same(rosy.id, rosie.id)
    undone = store.undo(draft.id)
    assert undone is not None
    assert undone.horse is not None
    assert undone.horse.id == rosie.id


def test_taking_a_correction_back_goes_past_the_change_of_name(store: Store) -> None:
    rosy, rosie = rosies(store)
    first = store.entries_of(rosy.id)[0]
    assert not store.can_take_back(first.id)
    store.revise_entry(first.id, first.entry.facts[:1], "no promise")
    store.horse_same(rosy.id, rosie.id)
    back = store.take_back(first.id)
    assert back.horse is not None
    assert (back.horse.id, back.entry.facts) == (rosie.id, first.entry.facts)
    assert not store.can_take_back(first.id)
    store.horse_apart("Rosy")
    assert not store.can_take_back(first.id)


def test_a_draft_that_was_set_aside_is_the_horses_too(store: Store) -> None:
    rosy, rosie = rosies(store)
    (draft,) = store.drafts()
    store.discard(draft.id)
    store.horse_same(rosy.id, rosie.id)
    (aside,) = store.set_aside()
    assert aside.horse is not None
    assert aside.horse.name == "Rosie"
    back = store.undo(draft.id)
    assert back is not None
    assert (back.state, back.horse and back.horse.id) == (EntryState.DRAFT, rosie.id)


def test_three_spellings_are_parted_the_last_first(store: Store) -> None:
    rosy, rosie = rosies(store)
    rosey = store.add_horse("Rosey")
    visit(store, seen(Foot.LF), horse="Rosey", later=120)
    before = known(store)
    store.horse_same(rosy.id, rosey.id)
    store.horse_same(rosey.id, rosie.id)
    assert store.horse_named("Rosy").id == rosie.id
    assert len(store.entries_of(rosie.id)) == 4
    with pytest.raises(InputError, match="itself another spelling"):
        store.horse_apart("Rosy")
    store.horse_apart("Rosey")
    store.horse_apart("Rosy")
    assert known(store) == before


def test_one_horse_that_was_entered_twice_under_one_name(store: Store) -> None:
    one, other = store.add_horse("Tilly"), store.add_horse("Tilly", barn="Long Acre")
    store.horse_same(one.id, other.id)
    assert store.full_name(store.horse(other.id)) == "Tilly"
    assert store.other_names(other.id) == []
    (draft,) = store.add_drafts(None, [note("Tilly")], at=AT)
    assert draft.horse is not None
    assert draft.horse.id == other.id


def test_two_microchips_are_two_horses(store: Store) -> None:
    """A number stands for one animal only (ISO 11784, chapter on uniqueness of the code)."""
    one = store.add_horse("Rosy", microchip="276098100000001")
    other = store.add_horse("Rosie", microchip="276098100000002")
    with pytest.raises(InputError, match="two horses"):
        store.horse_same(one.id, other.id)
    with pytest.raises(InputError, match="already"):
        store.horse_same(one.id, one.id)


def test_visits_of_another_owner_stay_in_that_owners_time(store: Store) -> None:
    old, new = store.add_client("Dana Brook"), store.add_client("Roy Tanner")
    before = store.add_horse("Star", client_id=old.id)
    visit(store, seen(Foot.LF), horse="Star")
    now = store.add_horse("Morning Star", client_id=new.id)
    store.horse_same(before.id, now.id)
    horse = store.horse(now.id)
    assert store.days_of_another_owner(horse) == {AT.date()}
    assert [h.name for h in store.horses_once_of(old.id)] == ["Morning Star"]
    store.horse_apart("Star")
    store.horse_same(before.id, now.id, all_along=True)
    assert store.days_of_another_owner(store.horse(now.id)) == frozenset()


def test_a_horse_with_another_spelling_is_not_removed(store: Store) -> None:
    one, other = store.add_horse("Tilly"), store.add_horse("Tillie")
    store.horse_same(one.id, other.id)
    with pytest.raises(InputError, match="another spelling"):
        store.remove_horse(other.id)


def test_a_client_that_is_forgotten_leaves_no_spelling(store: Store) -> None:
    rosy, rosie = rosies(store)
    store.horse_same(rosy.id, rosie.id)
    wrong = store.add_client("Dana Brooke", phone="555 0177")
    owner = store.client_same(wrong.id, store.find_client("Dana Brook").id)  # type: ignore[union-attr]
    store.barn_same("Long Acre", "Longacre Farm")
    store.forget_client(owner.id, "asked for it")
    left = json.dumps(everything(store))
    for word in ("Rosy", "Rosie", "Dana", "555 01", "kicks behind", "Longacre", "Long Acre"):
        assert word not in left
    assert store.verify_chain().ok


def test_papers_and_teaching_know_the_other_spelling(store: Store) -> None:
    rosy, rosie = rosies(store)
    wrong = store.add_client("Dana Broke")
    store.client_same(wrong.id, store.find_client("Dana Brook").id)  # type: ignore[union-attr]
    store.horse_same(rosy.id, rosie.id)
    strangers = names_of_others(store, store.horse(rosie.id))
    assert not strangers & {"rosy", "rosie", "broke"}
    assert {"rosy", "rosie", "broke"} <= names_of_others(store, store.horse_named("Bramble"))
    (draft,) = store.drafts()
    store.save_entry(draft.id)
    text = json.dumps(redacted(store))
    assert "Rosy" not in text
    assert "this is Horse" in text


def test_two_spellings_of_an_owner(store: Store) -> None:
    rosies(store)
    wrong = store.add_client("Dana Brooke", phone="555 0177", email="dana@example.org")
    tilly = store.add_horse("Tilly", client_id=wrong.id)
    before = known(store)
    owner = store.client_same(wrong.id, store.find_client("Dana Brook").id)  # type: ignore[union-attr]
    assert [c.name for c in store.clients()] == ["Dana Brook"]
    assert (owner.phone, owner.email) == ("555 0101", "dana@example.org")
    assert owner.notes == "phone also noted: 555 0177"
    assert store.horse(tilly.id).client == "Dana Brook"
    assert store.find_client("dana brooke") == owner
    assert owner.id in {h.client_id for h in store.horses()}
    store.client_apart("Dana Brooke")
    assert known(store) == before


def test_two_spellings_of_a_barn(store: Store) -> None:
    rosies(store)
    visit(store, seen(Foot.LF), horse="Rosy", later=130)
    before = known(store)
    assert store.barn_same("long acre", "Longacre Farm") == 1
    assert store.barns() == {"Longacre Farm": 1}
    assert {v.barn for v in store.visits(store.horse_named("Rosy").id)} == {"Longacre Farm"}
    assert store.add_horse("Tilly", barn="Long Acre").barn == "Longacre Farm"
    store.update_horse(replace(store.horse_named("Tilly"), barn=""))
    store.barn_apart("Long Acre")
    store.remove_horse(store.horse_named("Tilly").id)
    assert known(store) == before
    with pytest.raises(NotFound, match="No horse stands"):
        store.barn_same("Nowhere", "Long Acre")


def test_it_is_all_or_nothing(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    rosy, rosie = rosies(store)
    before = known(store)
    links = len(store.chain())
    monkeypatch.setattr(store, "_keep", lambda *_: (_ for _ in ()).throw(InputError("full", "")))
    with pytest.raises(InputError):
        store.horse_same(rosy.id, rosie.id)
    assert known(store) == before
    assert len(store.chain()) == links


def test_the_fifth_schema_is_brought_forward(tmp_path: Path) -> None:
    import gzip

    path = tmp_path / "f.db"
    packed = Path(__file__).parent / "data" / "schema_5.db.gz"
    path.write_bytes(gzip.decompress(packed.read_bytes()))
    with Store.open(path) as store:
        horse = store.horse_named("Bramble")
        assert horse.same_as is None
        assert store.days_of_another_owner(horse) == {date(2026, 11, 25)}
        store.horse_same(store.add_horse("Brambel").id, horse.id)
        assert store.horse_named("Brambel").id == horse.id
        assert store.verify_chain().ok
    assert path.with_name("f.db.before-migration-5").exists()


def test_owners_that_became_one_meanwhile(store: Store) -> None:
    rosy, rosie = rosies(store)
    brook = store.find_client("Dana Brook")
    brok = store.add_client("Dana Brok")
    assert brook is not None
    store.update_horse(replace(store.horse(rosy.id), client_id=brok.id), all_along=True)
    before = known(store)
    store.horse_same(rosy.id, rosie.id)
    store.client_same(brok.id, brook.id)
    store.horse_apart("Rosy")
    assert store.horse(rosy.id).client == "Dana Brook"
    assert store.days_of_another_owner(store.horse(rosy.id)) == frozenset()
    store.client_apart("Dana Brok")
    assert known(store) == before


def test_an_owner_of_a_horse_that_is_anothers_now_can_be_forgotten(store: Store) -> None:
    rosy, rosie = rosies(store)
    brok = store.add_client("Roy Tanner")
    store.update_horse(replace(store.horse(rosy.id), client_id=brok.id), all_along=True)
    store.horse_same(rosy.id, rosie.id)
    store.forget_client(brok.id, "asked for it")
    assert len(store.entries_of(rosie.id)) == 3
    assert store.integrity() == []
    assert "Tanner" not in json.dumps(everything(store))


def test_the_record_says_under_which_name_it_was_saved(store: Store) -> None:
    from fieldlog.config import Settings
    from fieldlog.papers.gather import horse_file

    rosy, rosie = rosies(store)
    store.horse_same(rosy.id, rosie.id)
    file = horse_file(store, store.horse(rosie.id), Settings(), AT.date(), with_seal=True)
    told = {c.moved for s in file.sealed for c in s.corrections}
    assert told == {"Had been saved under this horse's other name, Rosy."}
    assert file.given_away == ()


def test_an_owner_takes_the_other_spelling_as_the_name(store: Store) -> None:
    right, wrong = store.add_client("Dana Brok"), store.add_client("Dana Brook")
    store.client_same(wrong.id, right.id)
    store.update_client(replace(right, name="Dana Brook"))
    assert [c.name for c in store.clients()] == ["Dana Brook"]


def test_a_kept_search_by_the_other_spelling_finds_what_it_found(store: Store) -> None:
    rosies(store)
    right = store.find_client("Dana Brook")
    wrong = store.add_client("Dxna Brook")
    assert right is not None
    store.client_same(wrong.id, right.id)
    store.barn_same("Long Acre", "Mill Farm")
    for line in ('owner:"Dxna Brook" thrush', 'barn:"Long Acre" thrush', "barn:mill thrush"):
        assert {hit.horse for hit in store.search(line)} >= {"Rosy"}, line
    assert store.search("owner:Nobody thrush") == []
    store.client_apart("Dxna Brook")
    assert store.search('owner:"Dxna Brook" thrush') == []


def test_three_spellings_of_an_owner_and_of_a_barn(store: Store) -> None:
    one, two, three = (store.add_client(n) for n in ("Dana Brok", "Dana Broke", "Dana Brook"))
    tilly = store.add_horse("Tilly", client_id=one.id, barn="Alder Crk")
    store.add_horse("Willow", client_id=two.id, barn="Alder Crek")
    store.add_horse("Aspen", client_id=three.id, barn="Alder Creek")
    visit(store, seen(Foot.LF), horse="Tilly")
    before = known(store)
    store.client_same(one.id, two.id)
    store.client_same(two.id, three.id)
    store.barn_same("Alder Crk", "Alder Crek")
    store.barn_same("Alder Crek", "Alder Creek")
    assert store.find_client("Dana Brok") == store.client(three.id)
    assert {hit.horse for hit in store.search('owner:"Dana Brok" thrush')} == {"Tilly"}
    assert {hit.horse for hit in store.search('barn:"Alder Crk" thrush')} == {"Tilly"}
    store.update_horse(replace(store.horse(tilly.id), barn="alder crk"))
    assert store.horse(tilly.id).barn == "Alder Creek"
    with pytest.raises(InputError, match="itself another spelling"):
        store.client_apart("Dana Brok")
    with pytest.raises(InputError, match="itself another spelling"):
        store.barn_apart("Alder Crk")
    store.client_apart("Dana Broke")
    store.client_apart("Dana Brok")
    store.barn_apart("Alder Crek")
    store.barn_apart("Alder Crk")
    assert known(store) == before


@pytest.mark.parametrize("both", [False, True])
def test_a_horse_that_is_visited_under_one_name_has_not_left(store: Store, both: bool) -> None:
    """Sold under the first, entered again by the new owner under the second: it is due."""
    rosy, rosie = rosies(store)
    for horse in (rosie, rosy) if both else (rosie,):
        store.horse_left(horse.id, "sold", AT.date() + timedelta(days=200))
    before = known(store)
    horse = store.horse_same(rosy.id, rosie.id).horse
    assert bool(horse.left_on) == both
    assert bool(store.visits_due(until=date(2030, 1, 1))) != both
    store.horse_apart("Rosy")
    assert known(store) == before


def test_a_barn_that_got_its_old_name_back_is_found_when_it_is_empty(store: Store) -> None:
    """The two names led to each other for ever, and no horse could be put there any more."""
    horse = store.update_horse(replace(store.horse_named("Juniper"), barn="Low Farm"))
    store.barn_same("Low Farm", "High Farm")
    store.barn_same("High Farm", "Low Farm")
    store.update_horse(replace(horse, barn=""))
    for typed in ("Low Farm", "high farm"):
        horse = store.update_horse(replace(store.horse(horse.id), barn=typed))
        assert horse.barn == "Low Farm"
        store.update_horse(replace(horse, barn=""))
    assert store.other_spellings("barn") == [("Low Farm", "Low Farm"), ("High Farm", "Low Farm")]


def test_a_draft_saved_while_two_were_one_leaves_no_visit_behind(store: Store) -> None:
    """Parted again, the other horse kept the visit, and was due weeks too late."""
    wrong, right = store.add_horse("Junipur"), store.horse_named("Juniper")
    (draft,) = store.add_drafts(None, [Entry((seen(Foot.LH),), "thrush", (0, 6))], at=AT)
    store.assign_horse(draft.id, wrong.id)
    store.horse_same(wrong.id, right.id)
    store.save_entry(draft.id)
    store.horse_apart("Junipur")
    assert [v.day for v in store.visits(wrong.id)] == [AT.date()]
    assert store.visits(right.id) == []
