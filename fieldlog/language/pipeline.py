"""From a transcript to entries: the spaCy pipeline and what is made of its spans.

``load`` builds a blank English pipeline of spaCy's with our tokeniser and our component, which
writes the disjoint marks of the note to ``doc.spans["said"]``; if a trained name finder is shipped
it runs after it and only adds candidates. Everything from the marks on is pure Python in this
package. spaCy is imported only when ``load`` is called.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime
from functools import cache
from pathlib import Path
from typing import Any

from fieldlog.config import Settings
from fieldlog.core.facts import Entry
from fieldlog.core.words import Transcript
from fieldlog.language.ellipsis.gapped import gapped
from fieldlog.language.entries.by_horse import (
    PartRead,
    leading_merged,
    of_each,
    parts_by_horse,
    same_horse_joined,
)
from fieldlog.language.entries.same_as import with_likenesses
from fieldlog.language.entries.whose import asked_whose
from fieldlog.language.entry_made import entry_of
from fieldlog.language.horses.alike import Alike, likenesses
from fieldlog.language.horses.hints import hints
from fieldlog.language.horses.naming import NameAt, known_names, without_plain_words
from fieldlog.language.horses.parting import Turn
from fieldlog.language.lean_spacy import spacy
from fieldlog.language.names_model import (
    Finder,
    finder,
    known_to_rules,
    shipped_model,
    with_candidates,
)
from fieldlog.language.note_marks import find_marks
from fieldlog.language.part import PartReader
from fieldlog.language.personal import PersonalRules
from fieldlog.language.promote import promote
from fieldlog.language.values.around import Around
from fieldlog.language.values.reader import read_values
from fieldlog.language.whole_note import whole_note
from fieldlog.language.words.known_words import significant, unused_words
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token, add_pauses, spacy_tokenizer
from fieldlog.language.words.units_said import Line

_MARKS = "fieldlog_marks"
"""The name of our component."""
_MANY = 12
"""Names of horses up to which all of them may well be those of the day."""


@cache
def _language() -> Any:
    """The spaCy pipeline, built once."""
    spacy()
    from spacy.lang.en import English
    from spacy.language import Language

    # Made directly: ``spacy.blank`` first fills and checks a config, which takes twice as long.
    nlp = English(create_tokenizer=lambda made: spacy_tokenizer(made.vocab))

    Language.component(_MARKS, func=_marked)
    nlp.add_pipe(_MARKS)
    return nlp


def _marked(doc: Any) -> Any:
    """Find the marks of a note and what else the steps behind them need; all in ``user_data``."""
    data = doc.user_data
    data["words"] = words = significant(add_pauses(data["tokens"], data["gaps"]))
    data["named"] = named = _named(words, data)
    marks, refused, turns = find_marks(
        data["text"], words, data["recorded"], named, data["phrases"]
    )
    data["marks"], data["turns"] = marks, turns
    data["refused"] = [(m.code, (words[m.start].start, words[m.end - 1].end)) for m in refused]
    doc.spans["said"] = _spans(doc, words, marks)
    return doc


def _named(words: Sequence[Token], data: dict[str, Any]) -> list[NameAt]:
    """Where names of horses stand; of many names, those that are plain words with more care."""
    named = known_names(words, data["names"])
    if named and len(data["names"]) > _MANY:
        return without_plain_words(words, named, data["text"])
    return named


def _spans(doc: Any, words: Sequence[Token], marks: Sequence[Mark]) -> list[Any]:
    """The marks as spaCy's spans, for whoever adds a component of their own."""
    from spacy.tokens import Span

    at_char = {token.start: at for at, token in enumerate(doc.user_data["tokens"])}
    spans = []
    for mark in marks:
        first = at_char.get(words[mark.start].start)
        last = at_char.get(words[mark.end - 1].start)
        if first is not None and last is not None:
            spans.append(Span(doc, first, last + 1, label=f"{mark.kind}:{mark.code}"))
    return spans


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
        chosen = self._with_own_unit(settings or Settings())
        transcript = self.prepare(transcript)
        found = self._found(transcript, recorded.date(), names)
        words, marks, turns = found["words"], found["marks"], found["turns"]
        unused = unused_words(words, marks)
        alike = likenesses(words, turns)
        line = _settled(words, marks, turns, alike, chosen.length_unit)
        note = whole_note(transcript, found, unused, chosen.length_unit)
        parts: list[PartRead] = []
        for about in parts_by_horse(turns, len(words)):
            reader = PartReader(line, chosen, note.times, recorded.date())
            said = reader.read(about.reads, about.end)
            parts.append(PartRead(about, entry_of(note, about, said, horse, first=not parts)))
        parts = with_likenesses(parts, alike, len(parts) - len(turns), line)
        perhaps = hints(words, marks, found["named"], turns, transcript.text)
        parts = asked_whose(parts, words, perhaps)
        entries: list[tuple[int | None, Entry]] = []
        for part in parts:
            horses = part.about.horses or (None,)
            entries += zip(horses, of_each(part.entry, part.about, words), strict=False)
        done = leading_merged(same_horse_joined(entries))
        return with_candidates(done, self._find) if self._find is not None else tuple(done)

    def _with_own_unit(self, settings: Settings) -> Settings:
        """The settings; the length unit that was taught stands where they have none."""
        if settings.length_unit or not self.personal.length_unit:
            return settings
        return replace(settings, length_unit=self.personal.length_unit)

    def _found(self, transcript: Transcript, day: date, names: Sequence[str]) -> dict[str, Any]:
        """What the pipeline finds in a note: its ``words``, ``marks``, ``named``, ``refused``,
        ``turns``."""
        doc = self._nlp.make_doc(transcript.text)
        doc.user_data["text"] = transcript.text
        doc.user_data["recorded"] = day
        doc.user_data["gaps"] = _gaps(transcript)
        doc.user_data["names"] = (*names, *(s.meant for s in self.personal.names))
        doc.user_data["phrases"] = self.personal.phrases
        found: dict[str, Any] = self._nlp(doc).user_data
        return found


def _settled(
    words: Sequence[Token],
    marks: Sequence[Mark],
    turns: Sequence[Turn],
    alike: Sequence[Alike],
    habit: str,
) -> Line:
    """The words of a note with their marks, once neighbours have settled what each of them means.

    Args:
        words: those that rules look at.
        marks: all that patterns found.
        turns: whose turn it is; the words that say so tell nothing else.
        alike: where a horse is told to be like another one; nor do those.
        habit: the length unit that the farrier always means, or empty.
    """
    naming = {
        word
        for turn in turns
        for first, behind in [
            *((o.start, o.end) for o in turn.who),
            *([turn.said] if turn.said else []),
        ]
        for word in range(first, behind)
    } | {word for same in alike for word in range(same.start, same.end)}
    line = promote(Line(words, [m for m in marks if not m.touches(naming)]))
    read_values(Around(line, habit))
    return gapped(line)


def _gaps(transcript: Transcript) -> list[tuple[int, float]]:
    """The pauses between words: the first character behind each, and its seconds."""
    spans = transcript.word_spans()
    return [
        (spans[at][0], transcript.words[at].start - transcript.words[at - 1].end)
        for at in range(1, len(transcript.words))
    ]


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
    "before i come back in five weeks he leaned on me pulled away twice good boy new horse the "
    "grey mare pink in the sole a corn at the seat contracted heels frog ragged pads off wedges "
    "bar shoe drilled and tapped studs behind next the bay gelding same as the mare only no pads "
    "angle fifty four left fifty two right an eighth off the toe dished wall flaring rings tight "
    "clinches lost a shoe on monday kicked out had to hold him both of them six weeks end of horse"
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
