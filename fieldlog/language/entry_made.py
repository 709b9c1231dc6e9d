"""One horse's entry: its facts, rated and told in order, and a passage for every other word."""

from __future__ import annotations

from fieldlog.core.facts import Entry, HorseMention, SpokenCorrection
from fieldlog.language.confidence import rated
from fieldlog.language.entries.by_horse import HorsePart
from fieldlog.language.entries.cover import cover
from fieldlog.language.entries.redflags import with_red_flags
from fieldlog.language.horses.naming import mention
from fieldlog.language.opinion.gist_facts import with_offers
from fieldlog.language.second_opinion import second_opinion
from fieldlog.language.told import Told
from fieldlog.language.whole_note import WholeNote


def entry_of(
    note: WholeNote, about: HorsePart, said: Told, horse: str | None, first: bool
) -> Entry:
    """The entry of one part of a note.

    Args:
        note: what the entries of the note have in common.
        about: the part's words.
        said: what the rules read in them.
        horse: the horse that the note is already known to be about, or None.
        first: whether no entry stands before it; it then begins with the note.
    """
    begin, end = 0 if first else note.begins(about.begin), note.begins(about.end)
    who = _horse_named(note, about, horse, first)
    mentions = [who.span] if who is not None else []
    corrections = [*_name_put_right(note, about), *said.corrections]
    facts, passages = cover(note.text, (begin, end), said.facts, corrections, mentions)
    told, aside = second_opinion(note, facts, (begin, end), corrections, mentions)
    loose = sum(len(p.text.split()) for p in passages)
    aside = rated(aside, note.transcript, loose, note.unused, note.how)
    told = rated(told, note.transcript, loose, note.unused, note.how)
    facts, flags = with_red_flags(told, note.text)
    return Entry(
        facts=facts,
        text=note.text,
        span=(begin, end),
        horse=who,
        passages=with_offers(passages, aside, note.text),
        corrections=tuple(corrections),
        red_flags=flags,
    )


def _horse_named(
    note: WholeNote, about: HorsePart, horse: str | None, first: bool
) -> HorseMention | None:
    """Which horse a part is of: the one it opens with, the one known, the only one named."""
    if about.who:
        return mention(about.who[0], note.words)
    if not first:
        return None
    if horse:
        return HorseMention(horse, (0, 0), known=True)
    if len({name.lower() for _, _, name in note.named}) == 1:
        begin, end, name = note.named[0]
        return HorseMention(name, note.characters(begin, end), known=True)
    return None


def _name_put_right(note: WholeNote, about: HorsePart) -> list[SpokenCorrection]:
    """ "This is Copper, no, Cooper": the name that was taken back."""
    return [
        SpokenCorrection(note.characters(*opening.replaced), "replace_word")
        for opening in about.who[:1]
        if opening.replaced is not None and about.said is not None
    ]
