"""A draft understood again: what the words changed changes, what a hand changed stays."""

from __future__ import annotations

from dataclasses import replace

from fieldlog.core.disputes import Moved, differences, taken
from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, HorseMention, Passage
from fieldlog.core.feet import Foot
from fieldlog.core.merging import Merged, merged, says
from fieldlog.core.words import Transcript, Word

OLD = "left hind so rush in the frog then trimmed"
NEW = "left hind bit of thrush in the frog then trimmed"


def said(text: str) -> Transcript:
    return Transcript(tuple(Word(t, i, i + 1) for i, t in enumerate(text.split())), "fake")


def moved() -> Moved:
    first, second = said(OLD), said(NEW)
    return taken(first, second, differences(first, second))[1]


def at(text: str, words: str, code: str, *feet: Foot) -> Fact:
    start = text.index(words)
    return Fact(FactKind.FINDING, code, feet, span=(start, start + len(words)))


def note(text: str, *facts: Fact, passages: tuple[str, ...] = ()) -> Entry:
    left = tuple(Passage((text.index(p), text.index(p) + len(p)), p) for p in passages)
    return Entry(facts, text, (0, len(text)), None, left, id="draft")


def again(draft: Entry, before: Entry, after: Entry, *fixed: str) -> Merged:
    return merged(draft, [before], [after], moved(), NEW, fixed)


BEFORE = note(OLD, at(OLD, "trimmed", "trim", Foot.LH), passages=("so rush in the frog",))
AFTER = note(NEW, at(NEW, "thrush in the frog", "thrush", Foot.LH),
             at(NEW, "trimmed", "trim", Foot.LH))  # fmt: skip


def test_a_fact_that_only_the_other_words_hold_comes_in() -> None:
    done = again(BEFORE, BEFORE, AFTER)
    assert [f.code for f in done.entry.facts] == ["thrush", "trim"]
    assert [f.code for f in done.fresh] == ["thrush"]
    assert done.entry.id == "draft"
    for fact in done.entry.facts:
        assert NEW[slice(*fact.span)] in ("thrush in the frog", "trimmed")


def test_the_passage_that_became_a_fact_is_one_no_more() -> None:
    assert again(BEFORE, BEFORE, AFTER).entry.passages == ()
    assert again(AFTER_BACK, AFTER_BACK, AFTER_BACK_NEW).entry.passages[0].text == "bit of thrush"


AFTER_BACK = note(OLD, at(OLD, "trimmed", "trim"))
AFTER_BACK_NEW = note(NEW, at(NEW, "trimmed", "trim"), passages=("bit of thrush",))


def test_a_fact_that_the_other_words_do_not_hold_goes() -> None:
    before = note(OLD, at(OLD, "so rush", "rush"), at(OLD, "trimmed", "trim"))
    after = note(NEW, at(NEW, "trimmed", "trim"))
    done = again(before, before, after)
    assert [f.code for f in done.entry.facts] == ["trim"]
    assert (done.fresh, done.gone) == ((), 1)


def test_what_was_settled_by_hand_stays() -> None:
    before = note(OLD, at(OLD, "so rush in the frog", "rush", Foot.LH))
    by_hand = replace(before.facts[0], code="canker")
    draft = replace(before, facts=(by_hand,))
    kept = again(draft, before, AFTER, by_hand.id).entry
    assert [f.code for f in kept.facts] == ["canker", "trim"]
    assert NEW[slice(*kept.facts[0].span)] == "bit of thrush in the frog"
    taken_over = again(draft, before, AFTER).entry
    assert [f.code for f in taken_over.facts] == ["thrush", "trim"]


def test_a_foot_chosen_by_hand_stays() -> None:
    before = note(OLD, at(OLD, "so rush", "rush", Foot.LH))
    moved_fact = replace(before.facts[0], feet=(Foot.RH,), foot_basis=FootBasis.CHOSEN)
    kept = again(replace(before, facts=(moved_fact,)), before, AFTER).entry
    assert (kept.facts[0].code, kept.facts[0].feet) == ("rush", (Foot.RH,))


def test_a_fact_deleted_by_hand_does_not_come_back() -> None:
    draft = replace(BEFORE, facts=())
    assert [f.code for f in again(draft, BEFORE, AFTER).entry.facts] == ["thrush"]


def test_a_fact_added_by_hand_stays() -> None:
    added = Fact(FactKind.FINDING, "flare", span=(0, 0), rule="by_hand")
    done = again(replace(BEFORE, facts=(*BEFORE.facts, added)), BEFORE, AFTER)
    assert {f.code for f in done.entry.facts} == {"thrush", "trim", "flare"}


def test_another_foot_reaches_the_facts_that_it_is_carried_to() -> None:
    after = replace(AFTER, facts=tuple(replace(f, feet=(Foot.RH,)) for f in AFTER.facts))
    done = again(BEFORE, BEFORE, after)
    assert {f.feet for f in done.entry.facts} == {(Foot.RH,)}


def test_another_horse_only_where_the_words_name_another() -> None:
    name = HorseMention("rushy", (10, 17))
    before = replace(BEFORE, horse=name)
    assert again(before, before, replace(AFTER, horse=name)).entry.horse == replace(
        name, span=(10, 23)
    )
    other = HorseMention("thrushcross", (10, 23))
    done = again(before, before, replace(AFTER, horse=other))
    assert done.entry.horse == other


def test_the_part_of_another_horse_is_left_alone() -> None:
    head = OLD.index("then")
    draft = replace(BEFORE, span=(0, head), facts=())
    done = again(draft, BEFORE, AFTER)
    assert NEW[slice(*done.entry.span)] == "left hind bit of thrush in the frog "
    assert [f.code for f in done.entry.facts] == ["thrush"]


def test_two_understandings_say_the_same_whatever_their_spans() -> None:
    shifted = replace(AFTER, facts=tuple(replace(f, span=(0, 1), id="x") for f in AFTER.facts))
    assert says([AFTER]) == says([shifted])
    assert says([AFTER]) != says([BEFORE])


IN_TURN = "pippin trimmed juno left hind so rush in the frog on pippin six weeks"
IN_TURN_NEW = "pippin trimmed juno left hind bit of thrush in the frog on pippin six weeks"


def in_turn(text: str, *facts: Fact, own: tuple[str, ...]) -> Entry:
    parts = tuple((text.index(p), text.index(p) + len(p)) for p in own)
    stretches = parts if len(parts) > 1 else ()
    return Entry(facts, text, (parts[0][0], parts[-1][1]), parts=stretches, id=own[0])


def test_what_another_horse_got_between_does_not_reach_a_draft_in_two_stretches() -> None:
    mine = ("pippin trimmed", "on pippin six weeks")
    before = in_turn(IN_TURN, at(IN_TURN, "trimmed", "trim"), own=mine)
    after = in_turn(IN_TURN_NEW, at(IN_TURN_NEW, "trimmed", "trim"), own=mine)
    others = in_turn(IN_TURN, own=("juno left hind so rush in the frog",))
    others_after = in_turn(
        IN_TURN_NEW,
        at(IN_TURN_NEW, "thrush in the frog", "thrush", Foot.LH),
        own=("juno left hind bit of thrush in the frog",),
    )
    first, second = said(IN_TURN), said(IN_TURN_NEW)
    to = taken(first, second, differences(first, second))[1]
    for draft, codes in ((before, ["trim"]), (others, ["thrush"])):
        done = merged(draft, [before, others], [after, others_after], to, IN_TURN_NEW)
        assert [f.code for f in done.entry.facts] == codes
    kept = merged(before, [before, others], [after, others_after], to, IN_TURN_NEW).entry
    assert [IN_TURN_NEW[slice(*part)].strip() for part in kept.parts] == list(mine)


def test_what_is_said_of_two_horses_comes_once_into_each() -> None:
    text, new = "both of them so rush", "both of them thrush"
    thrush = at(new, "thrush", "thrush")
    before = [note(text), note(text)]
    after = [note(new, thrush), note(new, replace(thrush, id="another"))]
    first, second = said(text), said(new)
    to = taken(first, second, differences(first, second))[1]
    done = merged(before[0], before, after, to, new)
    assert [f.code for f in done.entry.facts] == ["thrush"]
