"""From a transcript to entries: the spaCy pipeline and what is made of its spans.

``load`` builds a blank English pipeline of spaCy's with our tokeniser and our component, which
writes the disjoint marks of the note to ``doc.spans["said"]``; if a trained name finder is shipped
it runs after it and only adds candidates. Everything from the marks on is pure Python in this
package. spaCy is imported only when ``load`` is called.
"""

from __future__ import annotations

import gc
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

from fieldlog.config import Settings
from fieldlog.core.facts import Due, Entry, Fact, HorseMention, Passage, SpokenCorrection
from fieldlog.core.words import Transcript
from fieldlog.language.confidence import rated
from fieldlog.language.context.pair_apart import as_measured
from fieldlog.language.ellipsis.gapped import gapped
from fieldlog.language.entries.compared_nowhere import asked_what_compares
from fieldlog.language.entries.cover import cover
from fieldlog.language.entries.films import as_vets_word
from fieldlog.language.entries.herd_weeks import herd_counts, with_herd_weeks
from fieldlog.language.entries.places_last import with_last_places
from fieldlog.language.entries.redflags import with_red_flags
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
from fieldlog.language.horses import NameAt, Opening, known_names, mention, openings
from fieldlog.language.lean_spacy import spacy
from fieldlog.language.names_model import (
    Finder,
    finder,
    known_to_rules,
    shipped_model,
    with_candidates,
)
from fieldlog.language.note import Part, PartReader
from fieldlog.language.note_marks import find_marks, hidden_names
from fieldlog.language.numbers.spoken import NumberSpan
from fieldlog.language.opinion.feet_heard import said_once, with_feet
from fieldlog.language.opinion.gist import Span, opinion
from fieldlog.language.opinion.gist_facts import as_kin, reheard, with_offers
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
from fieldlog.language.opinion.standing import set_aside, unclear_words
from fieldlog.language.opinion.times_heard import with_own_times, with_times
from fieldlog.language.opinion.weighing import weighed
from fieldlog.language.personal import PersonalRules
from fieldlog.language.promote import promote
from fieldlog.language.values.around import Around
from fieldlog.language.values.reader import read_values
from fieldlog.language.words.known_words import significant, unused_words
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token, add_pauses, spacy_tokenizer
from fieldlog.language.words.units_said import Line


@cache
def _language() -> Any:
    """The spaCy pipeline, built once."""
    spacy()
    from spacy.lang.en import English
    from spacy.language import Language
    from spacy.tokens import Span

    # Made directly: ``spacy.blank`` first fills and checks a config, which takes twice as long.
    nlp = English(create_tokenizer=lambda made: spacy_tokenizer(made.vocab))

    @Language.component("fieldlog_marks")
    def fieldlog_marks(doc: Any) -> Any:
        text = doc.user_data["text"]
        tokens = doc.user_data["tokens"]
        words = significant(add_pauses(tokens, doc.user_data.get("gaps", ())))
        refused: list[Mark] = []
        doc.user_data["named"] = named = known_names(words, doc.user_data["names"])
        marks = find_marks(
            text,
            words,
            doc.user_data["recorded"],
            named,
            doc.user_data["phrases"],
            refused,
        )
        doc.user_data["refused"] = [
            (m.code, (words[m.start].start, words[m.end - 1].end)) for m in refused
        ]
        at_char = {t.start: i for i, t in enumerate(tokens)}
        spans = []
        for mark in marks:
            first = at_char.get(words[mark.start].start)
            last = at_char.get(words[mark.end - 1].start)
            if first is not None and last is not None:
                spans.append(Span(doc, first, last + 1, label=f"{mark.kind}:{mark.code}"))
        doc.spans["said"] = spans
        doc.user_data["words"] = words
        doc.user_data["marks"] = marks
        return doc

    nlp.add_pipe("fieldlog_marks")
    return nlp


class Understander:
    """Turns transcripts into entries; make one with ``load`` and keep it."""

    def __init__(
        self, nlp: Any, personal: PersonalRules | None = None, find: Finder | None = None
    ) -> None:
        self._nlp = nlp
        self.personal = personal or PersonalRules()
        self._find = find

    def prepare(self, transcript: Transcript) -> Transcript:
        """The transcript as it will be understood: with the personal word rules applied.

        ``understand`` does this itself; keep the result if you show words beside facts, since
        spans point into its text. Applying it twice changes nothing more.
        """
        return self.personal.applied(transcript)

    def understand(
        self,
        transcript: Transcript,
        *,
        recorded: datetime,
        names: Sequence[str] = (),
        settings: Settings | None = None,
        horse: str | None = None,
    ) -> tuple[Entry, ...]:
        """One entry per horse named in the note, in order.

        Args:
            transcript: the joined note.
            recorded: when it was recorded; follow-up dates count from it.
            names: names of horses that may occur (the day's, or all known ones).
            settings: the farrier's settings; defaults if None.
            horse: the horse the note is already known to be about.

        Returns:
            At least one entry. A note that names no horse gives one entry with ``horse`` None
            (or the given one). Every word of the note is in a fact, a correction, a mention or
            a passage of some entry.
        """
        chosen = settings or Settings()
        if self.personal.length_unit and not chosen.length_unit:
            chosen = replace(chosen, length_unit=self.personal.length_unit)
        transcript = self.prepare(transcript)
        found = self._marked(transcript, recorded.date(), names)
        words: list[Token] = found["words"]
        marks: list[Mark] = found["marks"]
        unused = unused_words(words, marks)
        opened = openings(words, marks, found["named"], transcript.text)
        covered = {i for o in opened for i in range(o.start, o.end)}
        line = promote(Line(words, [m for m in marks if not m.touches(covered)]))
        read_values(Around(line, chosen.length_unit))
        line = gapped(line)
        note = _note(transcript, found, unused, chosen.length_unit)
        entries: list[Entry] = []
        for opening, begin, end in _parts(opened, len(words), horse):
            part = PartReader(line, chosen, note.times, recorded.date()).read(begin, end)
            entries.append(_entry(note, opening, (begin, end), part, horse, entries))
        done = _same_horse_joined(_leading_merged(entries))
        if self._find is None:
            return tuple(done)
        return with_candidates(done, self._find)

    def _marked(self, transcript: Transcript, day: date, names: Sequence[str]) -> dict[str, Any]:
        """What the pipeline finds in a note: its ``words``, ``marks``, ``named``, ``refused``."""
        doc = self._nlp.make_doc(transcript.text)
        doc.user_data["text"] = transcript.text
        doc.user_data["recorded"] = day
        doc.user_data["gaps"] = _gaps(transcript)
        doc.user_data["names"] = (*names, *(s.meant for s in self.personal.names))
        doc.user_data["phrases"] = self.personal.phrases
        found: dict[str, Any] = self._nlp(doc).user_data
        return found


@dataclass(frozen=True, slots=True)
class _Note:
    """What the entries of one note have in common."""

    transcript: Transcript
    words: Sequence[Token]
    named: Sequence[NameAt]
    """Names of horses, by their words."""
    unused: Sequence[int]
    times: Callable[[str], Due | None]
    """The first time in a phrase."""
    refused: Sequence[tuple[str, tuple[int, int]]]
    """Codes whose pattern matched and became no mark, with its characters."""
    unclear: Sequence[Span]
    """Characters of words that were not clearly heard."""
    hidden: tuple[Span, ...]
    """Characters of names that the second opinion is not to read."""
    numbers: Sequence[NumberSpan]
    timed: Sequence[tuple[Span, Due]]
    """The times and their characters."""
    counts: Sequence[re.Match[str]]
    """Where further horses may be given their weeks."""
    habit: str
    """The length unit that the farrier always means, or empty."""


def _note(
    transcript: Transcript, found: dict[str, Any], unused: Sequence[int], habit: str
) -> _Note:
    """What the entries of a note have in common, once its marks are settled."""
    words: list[Token] = found["words"]
    marks: list[Mark] = found["marks"]
    day: date = found["recorded"]

    def times(phrase: str) -> Due | None:
        from fieldlog.language.times.dates import find_times

        spoken = find_times(phrase, day)
        return spoken[0].due if spoken else None

    return _Note(
        transcript=transcript,
        words=words,
        named=found["named"],
        unused=unused,
        times=times,
        refused=found["refused"],
        unclear=unclear_words(transcript),
        hidden=hidden_names(words, found["named"]),
        numbers=[m.number for m in marks if m.number is not None],
        timed=[
            ((words[m.start].start, words[m.end - 1].end), m.value.due)
            for m in marks
            if m.kind == "time" and m.value is not None
        ],
        counts=herd_counts(transcript.text),
        habit=habit,
    )


def _entry(
    note: _Note,
    opening: Opening | None,
    bounds: tuple[int, int],
    part: Part,
    horse: str | None,
    earlier: Sequence[Entry],
) -> Entry:
    words, text = note.words, note.transcript.text
    begin = words[bounds[0]].start if bounds[0] < len(words) else len(text)
    begin = 0 if not earlier else begin
    end = words[bounds[1]].start if bounds[1] < len(words) else len(text)
    who = mention(opening, words) if opening is not None else None
    corrections = list(part.corrections)
    if opening is not None and opening.replaced is not None:
        first, last = opening.replaced
        span = (words[first].start, words[last - 1].end)
        corrections.insert(0, SpokenCorrection(span, "replace_word"))
    if who is None and horse and not earlier:
        who = HorseMention(horse, (0, 0), known=True)
    if who is None and not earlier and len({n.lower() for _, _, n in note.named}) == 1:
        first, last, name = note.named[0]
        who = HorseMention(name, (words[first].start, words[last - 1].end), known=True)
    mentions = [who.span] if who is not None else []
    facts, passages = cover(text, (begin, end), part.facts, corrections, mentions)
    told, aside = _second_opinion(note, facts, (begin, end), corrections, mentions)
    loose = sum(len(p.text.split()) for p in passages)
    aside = rated(aside, note.transcript, loose, note.unused, note.hidden)
    told = rated(told, note.transcript, loose, note.unused, note.hidden)
    facts, flags = with_red_flags(told, text)
    return Entry(
        facts=facts,
        text=text,
        span=(begin, end),
        horse=who,
        passages=with_offers(passages, aside, text),
        corrections=tuple(corrections),
        red_flags=flags,
    )


def _second_opinion(
    note: _Note,
    facts: Sequence[Fact],
    part: tuple[int, int],
    corrections: Sequence[SpokenCorrection],
    mentions: Sequence[tuple[int, int]],
) -> tuple[Sequence[Fact], Sequence[Fact]]:
    """The facts of the rules and the network together, and those that are only offered."""
    text, words = note.transcript.text, note.words
    heard = opinion(text, note.hidden)
    if heard is None:
        return _told_in_order(note, facts, facts, part, corrections)
    weighable = reheard(facts, heard, corrections)
    kept, aside = set_aside(weighable, heard, corrections, note.unclear)
    retold, aside = as_kin(aside, kept, heard)
    kept = sorted([*kept, *retold], key=lambda fact: fact.span)
    alone = heard_alone(kept, heard, text, part, note.times, note.refused, corrections, mentions)
    here = [n for n in note.numbers if part[0] <= n.start < part[1]]
    numbers = without_denied(without_counts(here, words), text)
    said = without_others_sizes([*kept, *alone], heard, numbers, corrections)
    told, at = with_numbers(said, heard, numbers, note.habit, corrections)
    told = with_sizes(told, heard, numbers, at, corrections)
    footed = on_no_one_side(weighed(told, heard, corrections, at), told, text)
    told = with_feet(footed, heard, part, corrections)
    times = [(span, due) for span, due in note.timed if part[0] <= span[0] < part[1]]
    told = with_own_times(told, heard, times, text)
    told, again = said_once(with_times(told, heard, times, corrections))
    told = with_last_places(told, heard)
    told = of_today(told, text, {**spans_of(told, numbers), **at}, numbers)
    told = without_size_of_nothing(compared_with_before(told, heard))
    told = asked_of_other_times(asked_if_told_twice(told, text, at), times, corrections, text)
    told = asked_what_compares(told, text, part)
    told, gone = _told_in_order(note, told, kept, part, corrections)
    return as_vets_word(told, heard), [*aside, *again, *gone]


def _told_in_order(
    note: _Note,
    every: Sequence[Fact],
    plain: Sequence[Fact],
    part: tuple[int, int],
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
    text = note.transcript.text
    here = [n for n in note.numbers if part[0] <= n.start < part[1]]
    times = [(span, due) for span, due in note.timed if part[0] <= span[0] < part[1]]
    told = told_once(as_measured(every, plain), text, corrections)
    told = with_herd_weeks(told, note.counts, part, note.times, corrections)
    told = asked_if_done(with_stages(told, text, here, times), text)
    return told, no_more_told(every, told)


def _gaps(transcript: Transcript) -> list[tuple[int, float]]:
    spans = transcript.word_spans()
    return [
        (spans[at][0], transcript.words[at].start - transcript.words[at - 1].end)
        for at in range(1, len(transcript.words))
    ]


def _parts(
    opened: Sequence[Opening], count: int, horse: str | None
) -> list[tuple[Opening | None, int, int]]:
    """Word ranges of the horses: what stands before the first opening, then one per opening."""
    starts = [o.start for o in opened]
    parts: list[tuple[Opening | None, int, int]] = []
    if not opened or starts[0] > 0:
        parts.append((None, 0, starts[0] if opened else count))
    for at, opening in enumerate(opened):
        parts.append((opening, opening.start, starts[at + 1] if at + 1 < len(opened) else count))
    return parts


def _leading_merged(entries: list[Entry]) -> list[Entry]:
    """Words before the first horse that make no fact belong to that horse's entry."""
    if len(entries) < 2 or entries[0].horse is not None or entries[0].facts:
        return entries
    first, second, *rest = entries
    merged = replace(
        second,
        span=(first.span[0], second.span[1]),
        passages=(*first.passages, *second.passages),
        corrections=(*first.corrections, *second.corrections),
    )
    return [merged, *rest]


def _same_horse_joined(entries: list[Entry]) -> list[Entry]:
    """The entries, those of one horse put together."""
    out: list[Entry] = []
    for entry in entries:
        name = entry.horse.name.lower() if entry.horse else ""
        twin = next(
            (i for i, e in enumerate(out) if name and e.horse and e.horse.name.lower() == name),
            None,
        )
        if twin is None:
            out.append(entry)
            continue
        old = out[twin]
        again: tuple[Passage, ...] = ()
        if entry.horse is not None:
            start, end = entry.horse.span
            again = (Passage((start, end), entry.text[start:end]),)
        out[twin] = replace(
            old,
            facts=(*old.facts, *entry.facts),
            passages=(*old.passages, *again, *entry.passages),
            corrections=(*old.corrections, *entry.corrections),
            span=(min(old.span[0], entry.span[0]), max(old.span[1], entry.span[1])),
        )
    return out


_SAMPLE = (
    "left front toe three and a quarter fifty two degrees no thrush cracks or heat bit of "
    "flare on the outside quarter better than last time trimmed all four recheck in four "
    "weeks near hind old abscess growing out half an inch below the hairline owner says she "
    "was lame last month no make that the off hind might be a bruise pared the sole packed it "
    "and set the shoe back an eighth sole's thin ring the vet on friday stood well same on "
    "the right next trim six weeks this is the next one and she's been a bit short in front "
    "so i took it off and had a look there was nothing wrong with it white line is stretched "
    "at the toe and the wall's chipped where the nails were heels are low and run under i "
    "brought the toe back and left all the sole i could new shoes in front pads under them "
    "reset the hinds bars folded over clinches up sprung at the heel told her to keep him in "
    "and pick it out every day if it's hot or he's sore to testers call the vet and get films "
    "before i come back in five weeks he leaned on me pulled away twice good boy"
)


@cache
def _warm() -> Any:
    """The pipeline after one sample note, so that the farrier's first note is not the slow one."""
    with _no_collection():
        nlp = _language()
        Understander(nlp).understand(Transcript.typed(_SAMPLE), recorded=datetime(2026, 1, 1))
    return nlp


def load(personal: PersonalRules | None = None, names_model: Path | None = None) -> Understander:
    """The ready pipeline (built once per process, then shared).

    Args:
        personal: the farrier's own rules, or None.
        names_model: a spaCy folder of a name finder; None takes the shipped one, if any.
    """
    ready = _warm()
    folder = names_model or shipped_model()
    find = finder(folder) if folder is not None else None
    if find is not None:
        find((_SAMPLE[:100],))
        known_to_rules()
    return Understander(ready, personal, find)


@contextmanager
def _no_collection() -> Iterator[None]:
    """Without the search for unreachable objects, which finds none while so much is built.

    What was built stays; it is set aside so that the search in the first note passes over it.
    """
    on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        gc.freeze()
        if on:
            gc.enable()
