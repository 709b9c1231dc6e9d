"""The facts of one entry, heard by the network too, and what only all of them together show.

Without a network only the last step is left. The order counts: whether a fact stands is settled
before what it is of, and that before what it is compared with.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from fieldlog.core.facts import Fact, SpokenCorrection
from fieldlog.language.context.pair_apart import as_measured
from fieldlog.language.entries.compared_nowhere import asked_what_compares
from fieldlog.language.entries.films import as_vets_word, of_then
from fieldlog.language.entries.herd_weeks import with_herd_weeks
from fieldlog.language.entries.places_last import with_last_places
from fieldlog.language.entries.stages import with_stages
from fieldlog.language.entries.than_before import compared_with_before, of_today
from fieldlog.language.entries.times_asked import asked_of_other_times
from fieldlog.language.entries.told_once import (
    asked_if_done,
    no_more_told,
    on_no_one_side,
    told_once,
)
from fieldlog.language.entries.told_twice import asked_if_told_twice
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.opinion.feet_heard import said_once, with_feet
from fieldlog.language.opinion.gist import opinion
from fieldlog.language.opinion.gist_facts import as_kin, reheard
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.heard_alone import heard_alone
from fieldlog.language.opinion.numbers_heard import (
    spans_of,
    with_numbers,
    without_counts,
    without_denied,
)
from fieldlog.language.opinion.sizes_heard import (
    with_sizes,
    without_others_sizes,
    without_size_of_nothing,
)
from fieldlog.language.opinion.standing import set_aside
from fieldlog.language.opinion.times_heard import with_own_times, with_times
from fieldlog.language.opinion.weighing import weighed
from fieldlog.language.whole_note import WholeNote


def second_opinion(
    note: WholeNote,
    facts: Sequence[Fact],
    part: Span,
    corrections: Sequence[SpokenCorrection],
    mentions: Sequence[Span],
) -> tuple[Sequence[Fact], Sequence[Fact]]:
    """The facts of the rules and the network together, and those that are only offered.

    Args:
        note: what the entries of the note have in common.
        facts: those of the rules.
        part: first and last character of the entry.
        corrections: what was taken back.
        mentions: characters that name the horse.
    """
    text, heard = note.text, opinion(note.text, note.how)
    if heard is None:
        told, gone = _told_in_order(note, facts, facts, part, corrections)
        return of_then(told, text), gone
    kept, aside = _standing(note, facts, heard, corrections)
    alone = heard_alone(kept, heard, text, part, note.times, note.refused, corrections, mentions)
    numbers = without_denied(without_counts(note.numbers_in(part), note.words), text)
    told, at = _measured(note, [*kept, *alone], heard, numbers, corrections)
    told = on_no_one_side(weighed(told, heard, corrections, at), told, text)
    told = with_feet(told, heard, part, corrections)
    told, again = _timed(note, told, heard, part, corrections)
    told = with_last_places(told, heard)
    told = of_today(told, text, {**spans_of(told, numbers), **at}, numbers)
    told = without_size_of_nothing(compared_with_before(told, heard))
    told = _asked(note, told, at, part, corrections)
    told, gone = _told_in_order(note, told, kept, part, corrections)
    return of_then(as_vets_word(told, heard), text), [*aside, *again, *gone]


def _standing(
    note: WholeNote, facts: Sequence[Fact], heard: Opinion, corrections: Sequence[SpokenCorrection]
) -> tuple[list[Fact], list[Fact]]:
    """The facts that stand, in order, and those set aside; some stand as what is kin to them."""
    kept, aside = set_aside(reheard(facts, heard, corrections), heard, corrections, note.unclear)
    retold, aside = as_kin(aside, kept, heard)
    return sorted([*kept, *retold], key=lambda fact: fact.span), aside


def _measured(
    note: WholeNote,
    facts: Sequence[Fact],
    heard: Opinion,
    numbers: Sequence[NumberSpan],
    corrections: Sequence[SpokenCorrection],
) -> tuple[list[Fact], dict[str, Span]]:
    """The facts with what the network hears numbers to be of, and where those numbers stand."""
    said = without_others_sizes(facts, heard, numbers, corrections)
    told, at = with_numbers(said, heard, numbers, note.habit, corrections)
    return with_sizes(told, heard, numbers, at, corrections), at


def _timed(
    note: WholeNote,
    facts: Sequence[Fact],
    heard: Opinion,
    part: Span,
    corrections: Sequence[SpokenCorrection],
) -> tuple[list[Fact], list[Fact]]:
    """The facts with what the network hears times to be of, and those that only repeat."""
    times = note.times_in(part)
    told = with_own_times(facts, heard, times, note.text)
    return said_once(with_times(told, heard, times, corrections))


def _asked(
    note: WholeNote,
    facts: Sequence[Fact],
    at: Mapping[str, Span],
    part: Span,
    corrections: Sequence[SpokenCorrection],
) -> list[Fact]:
    """The facts, with doubts where two of them, or a word between them, ask for a look."""
    told = asked_if_told_twice(facts, note.text, at)
    told = asked_of_other_times(told, note.times_in(part), corrections, note.text)
    return asked_what_compares(told, note.text, part)


def _told_in_order(
    note: WholeNote,
    every: Sequence[Fact],
    plain: Sequence[Fact],
    part: Span,
    corrections: Sequence[SpokenCorrection],
) -> tuple[list[Fact], list[Fact]]:
    """The facts with what only all of them together show, and those that others tell better.

    Args:
        note: the note.
        every: the facts of an entry.
        plain: the same as they were before a network was asked.
        part: first and last character of the entry.
        corrections: what was taken back.
    """
    text = note.text
    told = told_once(as_measured(every, plain), text, corrections)
    told = with_herd_weeks(told, note.counts, part, note.times, corrections)
    told = asked_if_done(with_stages(told, text, note.numbers_in(part), note.times_in(part)), text)
    return told, no_more_told(every, told)
