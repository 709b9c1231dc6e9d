"""Two readings of one note: where they differ, what hangs on it, and taking the other one.

The first reader's words stay as they are; a word at which the second heard something else carries
the rival words, and which facts hang on them. ``fieldlog.rereading`` finds out the latter by
understanding the note both ways. All functions are pure.
"""

from __future__ import annotations

import difflib
from bisect import bisect_left, bisect_right
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from fieldlog.core.facts import Entry, Fact
from fieldlog.core.spans import Span, touch
from fieldlog.core.words import Transcript, Word

TAKEN = "second reader"
"""``Word.changed_by`` of words that the farrier took from the second reader."""
NOTHING = "nothing"
"""Shown for a stretch where one reader heard no words."""
DIFFER = "readers_differ"
"""Code of the doubt."""
FILLERS = frozenset({"uh", "um", "er", "ah", "oh", "hmm", "so", "and", "okay", "the", "a"})
"""Words whose coming and going alone tells nothing, unless a fact hangs on it."""

Spans = tuple[Span, ...]
Range = tuple[int, int]
"""Numbers of words, the second one excluded."""


@dataclass(frozen=True, slots=True)
class Difference:
    """Words of the first reading (a range, end excluded) against words of the second."""

    ours: Range
    theirs: Range

    @property
    def marks(self) -> Range:
        """The first reader's words that carry it: its own, or the word before an insertion."""
        start, end = self.ours
        return (max(start - 1, 0), max(start, 1)) if start == end else (start, end)


def _key(word: Word) -> str:
    return word.text.lower().replace("'", "")


def differences(first: Transcript, second: Transcript) -> list[Difference]:
    """Where the words differ; not where they are only written apart (recheck, re check)."""
    a, b = [_key(w) for w in first.words], [_key(w) for w in second.words]
    if not a:
        return []
    found = []
    for tag, a0, a1, b0, b1 in difflib.SequenceMatcher(a=a, b=b, autojunk=False).get_opcodes():
        if tag != "equal" and "".join(a[a0:a1]) != "".join(b[b0:b1]):
            found.append(Difference((a0, a1), (b0, b1)))
    return found


def only_fillers(first: Transcript, second: Transcript, difference: Difference) -> bool:
    """True if it is about nothing but hesitations and articles."""
    (a0, a1), (b0, b1) = difference.ours, difference.theirs
    words = (*first.words[a0:a1], *second.words[b0:b1])
    return all(_key(w) in FILLERS for w in words)


def marked(
    first: Transcript, second: Transcript, stakes: Mapping[Difference, Spans] | None = None
) -> Transcript:
    """The first reading, each word with what the second heard in its place if that differs.

    Every word of a differing stretch gets the whole of the other reading. Words that only the
    second heard are noted on the word before them (or the first word). Text and words stay.

    Args:
        first: the reading that is shown.
        second: the other one.
        stakes: for each difference the spans of text whose facts hang on it.
    """
    words = [w.undisputed() for w in first.words]
    for one in differences(first, second):
        spans = (stakes or {}).get(one, ())
        if not spans and only_fillers(first, second, one):
            continue
        heard = " ".join(w.text for w in second.words[slice(*one.theirs)]) or NOTHING
        start, end = one.marks
        if one.ours[0] == one.ours[1]:
            beside = words[start].text
            heard = f"{beside} {heard}" if one.ours[0] else f"{heard} {beside}"
        for at in range(start, end):
            words[at] = replace(words[at], rival=heard, rival_reader=second.reader, at_stake=spans)
    return replace(first, words=tuple(words), text=first.text)


@dataclass(frozen=True, slots=True)
class Stretch:
    """Words in dispute, with what each reader heard."""

    words: Range
    """Range of words of the first reading."""
    span: Span
    """Their characters in its text."""
    ours: str
    theirs: str
    reader: str
    """Who heard the other words."""
    at_stake: Spans

    def __str__(self) -> str:
        return f"“{self.ours}” or {quoted(self.theirs)}"


def quoted(heard: str) -> str:
    """What was heard, in quotation marks; plain if it was nothing."""
    return heard if heard == NOTHING else f"“{heard}”"


def stretches(transcript: Transcript) -> list[Stretch]:
    """The disputes that the words carry, in order."""
    found: list[Stretch] = []
    spans, end = transcript.word_spans(), 0
    for mark, alike in groupby(transcript.words, lambda w: (w.rival, w.rival_reader, w.at_stake)):
        words = [w.text for w in alike]
        start, end = end, end + len(words)
        if mark[0]:
            span = (spans[start][0], spans[end - 1][1])
            found.append(Stretch((start, end), span, " ".join(words), *mark))
    return found


def concerning(
    entry: Entry, transcript: Transcript, looked_at: Collection[str] = ()
) -> dict[str, tuple[Stretch, ...]]:
    """The disputes that matter, by the id of the fact that they are asked with.

    A dispute that would add a fact, or that hangs on no fact any more, is asked with the nearest
    fact that nobody looked at; one about the horse's name also under the empty id.
    """
    out: dict[str, list[Stretch]] = {}
    open_facts = [f for f in entry.facts if f.id not in looked_at]
    open_ids = {"", *(f.id for f in open_facts)}
    for one in stretches(transcript):
        places = (*one.at_stake, one.span)
        if not one.at_stake or not any(touch(p, entry.span) for p in places):
            continue
        hit = [f.id for f in entry.facts if any(touch(p, f.span) for p in places)]
        if entry.horse is not None and any(touch(p, entry.horse.span) for p in places):
            hit.append("")
        # What would add a fact is nobody's yet: a fact already looked at does not settle it.
        if not hit or (one.at_stake == (one.span,) and not set(hit) & open_ids):
            near = min(open_facts, key=lambda f: _distance(one.span, f.span), default=None)
            hit = [near.id if near is not None else ""]
        for fact_id in hit:
            out.setdefault(fact_id, []).append(one)
    return {fact_id: tuple(found) for fact_id, found in out.items()}


def with_disputes(
    facts: Sequence[Fact], asked: Mapping[str, Sequence[Stretch]], looked_at: Collection[str] = ()
) -> tuple[Fact, ...]:
    """The facts, each in dispute with the doubt that shows both readings."""
    out = []
    for fact in facts:
        found = asked.get(fact.id, ())
        if found and fact.id not in looked_at:
            told = ", ".join(str(s) for s in found[:2])
            more = ", and more" if found[2:] else ""
            kept = tuple(d for d in fact.doubts if d.code != DIFFER)
            fact = replace(fact, doubts=kept).with_doubt(
                DIFFER, f"Two readers differ: {told}{more}."
            )
        out.append(fact)
    return tuple(out)


def _distance(one: Span, fact: Span) -> tuple[int, int]:
    """Characters between; of two as near, the fact that follows (a foot is said before)."""
    after = fact[0] >= one[1]
    return (fact[0] - one[1], 0) if after else (one[0] - fact[1], 1)


class Moved:
    """Where places of a text went when some of its words were replaced."""

    def __init__(
        self,
        old: Transcript,
        new: Transcript,
        replaced: Sequence[tuple[Range, Range]],
    ) -> None:
        """
        Args:
            old, new: the readings before and after.
            replaced: word ranges of ``old`` and what stands for them in ``new``, in order.
        """
        self._old, self._new = old.word_spans(), new.word_spans()
        self._starts = [s for s, _ in self._old]
        self._ends = [e for _, e in self._old]
        self._replaced = replaced
        self._lengths = (len(old.text), len(new.text))

    def _word(self, at: int, last: bool) -> int:
        """Number in ``new`` of the gap before word ``at``; ``last``: it ends a span."""
        shift = 0
        for (a0, a1), (b0, b1) in self._replaced:
            if at < a0 or (at == a0 and (last or a0 != a1)):
                break
            if at < a1:
                return b1 if last else b0
            shift = b1 - a1
        return at + shift

    def span(self, span: Span) -> Span:
        """The span of the same words, or of those that stand for them."""
        begin, end = self._words(span)
        if begin >= end:
            place = self._new[begin - 1][1] if 0 < begin <= len(self._new) else 0
            return (place, place)
        return (self._new[begin][0], self._new[end - 1][1])

    def part(self, span: Span) -> Span:
        """A part of the note that ends where the next one begins, or with the note."""
        begin, end = self._words(span)
        first = 0 if span[0] == 0 or begin >= len(self._new) else self._new[begin][0]
        if span[1] >= self._lengths[0] or end >= len(self._new):
            return (first, self._lengths[1])
        return (first, self._new[end][0])

    def _words(self, span: Span) -> Range:
        first = bisect_right(self._ends, span[0])
        last = bisect_left(self._starts, span[1])
        return self._word(first, False), self._word(last, True)


def taken(
    first: Transcript, second: Transcript, chosen: Collection[Difference]
) -> tuple[Transcript, Moved]:
    """The first reading with the second's words at the chosen differences.

    Taken words keep their own time, confidence and reader; ``heard`` holds the words they stand
    for. The other words stay, with their disputes.

    Returns:
        The new reading, and where the places of the old text are in it.
    """
    words: list[Word] = []
    replaced: list[tuple[Range, Range]] = []
    at = 0
    beside: list[int] = []
    """Words on which an insertion was noted: the one before it, of the first one that behind it."""
    for one in sorted(chosen, key=lambda d: d.ours):
        words += first.words[at : one.ours[0]]
        begin = len(words)
        words += _taken_words(first.words[slice(*one.ours)], second.words[slice(*one.theirs)])
        if one.ours[0] == one.ours[1]:
            beside.append(begin - 1 if one.ours[0] else len(words))
        replaced.append((one.ours, (begin, len(words))))
        at = one.ours[1]
    words += first.words[at:]
    for place in beside:
        words[place] = words[place].undisputed()
    readers = dict.fromkeys((*first.reader.split(" + "), *(second.reader for _ in chosen)))
    new = Transcript(tuple(words), " + ".join(r for r in readers if r), first.duration)
    moved = Moved(first, new, replaced)
    kept = tuple(
        replace(w, at_stake=tuple(moved.span(s) for s in w.at_stake)) if w.at_stake else w
        for w in new.words
    )
    return replace(new, words=kept), moved


def _taken_words(ours: Sequence[Word], theirs: Sequence[Word]) -> list[Word]:
    """Their words, each with the word that it stands for; what is left over goes to the last."""
    out = []
    for n, word in enumerate(theirs):
        mine = ours[n : n + 1] if n + 1 < len(theirs) else ours[n:]
        heard = " ".join(w.text for w in mine)
        out.append(replace(word.undisputed(), heard=heard, changed_by=TAKEN))
    return out


def for_understanding(transcript: Transcript) -> Transcript:
    """The same words without the traces of two readers, which would raise doubts of their own."""
    words = tuple(
        replace(w.undisputed(), changed_by="" if w.changed_by == TAKEN else w.changed_by)
        for w in transcript.words
    )
    return replace(transcript, words=words, text=transcript.text)


def readers_of(transcript: Transcript) -> dict[str, int]:
    """How many words each reader and model made, the first reader first."""
    count: dict[str, int] = {}
    for word in transcript.words:
        name = word.reader or transcript.reader or "an unnamed reader"
        count[name] = count.get(name, 0) + 1
    return count
