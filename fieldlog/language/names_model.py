"""The seat of the trained name finder: it adds candidates and never overrides a rule.

It looks only at words that no rule understood. A finding or a medication found there becomes a
fact with the doubt ``model_candidate``; a person fills an empty "spoke to"; a horse is only
proposed when the note names none. Without a trained model nothing changes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from fieldlog.core.facts import (
    Doubt,
    Entry,
    Fact,
    FactKind,
    FootBasis,
    HorseMention,
    Passage,
)
from fieldlog.language.lean_spacy import spacy
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import pattern_words
from fieldlog.language.words.tokens import tokenise, tokenizer_config
from fieldlog.paths import project_folder

MODEL = "names-ner"
"""Folder below ``models`` that holds the shipped finder."""
_REASON = "No rule knows this word; the trained finder proposes it."


@dataclass(frozen=True, slots=True)
class Named:
    """A stretch of text that the model gives a label."""

    start: int
    end: int
    label: str
    """``HORSE``, ``PERSON``, ``FINDING``, ``MEDICATION`` or ``PLACE``."""


Finder = Callable[[tuple[str, ...]], list[list[Named]]]
"""What it names in each of some texts; together they are read in half of the time."""


def shipped_model() -> Path | None:
    """The folder of the shipped finder, or None if there is none."""
    models = project_folder("models")
    folder = models / MODEL if models is not None else None
    return folder if folder is not None and (folder / "meta.json").is_file() else None


@cache
def finder(folder: Path) -> Finder:
    """A finder for a spaCy model folder, loaded on its first use.

    Raises:
        OSError: the folder holds no spaCy model.
    """
    loaded: list[Any] = []

    def find(texts: tuple[str, ...]) -> list[list[Named]]:
        if not loaded:
            loaded.append(spacy().load(folder, exclude=["tokenizer"], config=tokenizer_config()))
        return [
            [Named(e.start_char, e.end_char, e.label_) for e in doc.ents]
            for doc in loaded[0].pipe(texts)
        ]

    return find


def with_candidates(entries: Sequence[Entry], find: Finder) -> tuple[Entry, ...]:
    """The entries with what the finder proposes in their passages.

    Args:
        entries: entries made by the rules.
        find: the finder, called once on what lies around all passages with an unknown word; not
            at all where nothing that it may name there would be believed.
    """
    parts = [_strange_parts(entry) for entry in entries]
    if not any(_may_name(entry, own) for entry, own in zip(entries, parts, strict=True)):
        return tuple(entries)
    read = tuple(
        entry.text[begin:end]
        for entry, own in zip(entries, parts, strict=True)
        for begin, end in own
    )
    found = iter(find(read) if read else ())
    return tuple(
        _with_named(
            entry,
            [
                Named(n.start + begin, n.end + begin, n.label)
                for begin, _ in own
                for n in next(found)
            ],
        )
        for entry, own in zip(entries, parts, strict=True)
    )


def _with_named(entry: Entry, found: Sequence[Named]) -> Entry:
    """The entry with what the finder named in it, where that may be believed."""
    named = [
        n
        for n in found
        if _inside(n, entry.passages)
        and _unknown(entry.text[n.start : n.end])
        and _introduced(n, entry.text)
    ]
    if not named:
        return entry
    facts = list(entry.facts)
    horse = entry.horse
    taken: list[tuple[int, int]] = []
    for name in named:
        words = entry.text[name.start : name.end]
        if name.label in ("FINDING", "MEDICATION"):
            facts.append(_candidate(name, words, facts))
            taken.append((name.start, name.end))
        elif name.label == "PERSON":
            facts = [_with_person(f, name, words) for f in facts]
        elif name.label == "HORSE" and horse is None:
            shown = " ".join(w[:1].upper() + w[1:] for w in words.split())
            horse = HorseMention(shown, (name.start, name.end), {"candidate": "model"})
            taken.append((name.start, name.end))
    passages = tuple(
        piece for passage in entry.passages for piece in _without(passage, taken, entry.text)
    )
    return replace(entry, facts=tuple(facts), passages=passages, horse=horse)


def _strange_parts(entry: Entry) -> list[tuple[int, int]]:
    """What is to be read: passages with an unknown word and a few words on either side."""
    strange = [p for p in entry.passages if len(p.text) > 3 and not p.perhaps and _unknown(p.text)]
    parts: list[tuple[int, int]] = []
    for first, last in sorted(p.span for p in strange):
        begin = entry.text.rfind(" ", 0, max(0, first - _SEEN)) + 1
        end = entry.text.find(" ", last + _SEEN)
        end = len(entry.text) if end < 0 else end
        if parts and begin <= parts[-1][1]:
            begin, before = parts.pop()
            end = max(end, before)
        parts.append((begin, end))
    return parts


def _may_name(entry: Entry, parts: Sequence[tuple[int, int]]) -> bool:
    """Whether anything that begins in some parts of a note might be believed.

    Most that is left over are words like "so he's", which nothing leads to: reading them takes ten
    times as long as seeing that.
    """
    if parts and (entry.horse is None or any(_lacks_person(fact) for fact in entry.facts)):
        return True
    starts = [
        begin + token.start
        for begin, end in parts
        for token in tokenise(entry.text[begin:end])
        if _inside(Named(begin + token.start, begin + token.start, ""), entry.passages)
    ]
    if len(starts) > _FEW:
        return True
    led = [_words_before(entry.text, start) for start in starts]
    return any(_leads_to_finding(before) or _leads_to_medication(before) for before in led)


def _inside(name: Named, passages: Sequence[Passage]) -> bool:
    return any(p.span[0] <= name.start and name.end <= p.span[1] for p in passages if not p.perhaps)


@cache
def known_to_rules() -> frozenset[str]:
    """Words of the rules and the commonest English words: never a name by themselves."""
    from spacy.lang.en.stop_words import STOP_WORDS

    return pattern_words() | set(STOP_WORDS) | word_set("never_a_name") | word_set("glue")


def _unknown(words: str) -> bool:
    return any(w not in known_to_rules() for w in words.lower().split())


_BEFORE_A_FINDING = frozenset({"some", "has", "have", "got", "noticed", "found", "showing", "saw",
                               "see", "seeing", "is", "'s"})  # fmt: skip
_BARE_ARTICLES = frozenset({"a", "an", "any", "bit", "little"})
_OF_A_DOSE = frozenset({"the", "a", "an", "some", "of", "bit", "more", "little", "that", "any",
                        "it", "his", "her", "two", "one", "half", "daily"})  # fmt: skip
_BEFORE_A_MEDICATION = frozenset({
    "on", "with", "gave", "give", "given", "giving", "put", "using", "use", "used", "applied",
    "apply", "sprayed", "spray", "packed", "dose", "prescribed", "in", "into", "smeared", "dabbed",
    "squirted", "painted", "brushed", "getting", "gets", "having", "injected", "dosed", "him",
    "them", "grams", "gram", "tube", "sachet", "bottle", "recommended", "ordered",
    "course"})  # fmt: skip
_NEAR = 70
"""Characters before a proposed finding, and half as many behind it, that must name a foot."""
_SEEN = 60
"""Characters on either side of a passage that the finder reads with it."""
_LED = 200
"""Characters before a proposal that hold the words which make it likely, and more than ``_EARLY``
words."""
_FEW = 6
"""Words of passages, so many that reading them takes no longer than seeing what leads to each."""
_EARLY = 4
"""A horse that no rule opened is only believed among the first words of a note."""


def _introduced(name: Named, text: str) -> bool:
    """Whether the words before a proposal make it likely: the finder alone is too eager."""
    before = _words_before(text, name.start)
    if name.label == "HORSE":
        if text[name.start].isdigit():
            return False  # "8th December"
        joined = text[name.end : name.end + 7].lower() in (" footed", " kneed", " hocked")
        if joined or text[name.end : name.end + 1] == "-" or before[-1:] == ["half"]:
            return False  # "coon-footed", "a half moon of blood"
        return len(before) < _EARLY
    if name.label == "MEDICATION":
        return _leads_to_medication(before)
    if name.label != "FINDING":
        return True
    around = text[max(0, name.start - _NEAR) : name.start], text[name.end : name.end + _NEAR // 2]
    if not {t.norm for part in around for t in tokenise(part)} & word_set("of_a_foot"):
        return False
    if any(c.isdigit() for c in text[name.start : name.end]):
        return False
    return _leads_to_finding(before)


def _words_before(text: str, at: int) -> list[str]:
    """The words that stand before a character, of those that may lead to what begins there."""
    return [t.norm for t in tokenise(text[max(0, at - _LED) : at]) if t.sort == "word"]


def _leads_to_medication(before: Sequence[str]) -> bool:
    """ "Put some of the ...": the last word but those of a dose."""
    last = next((word for word in reversed(before) if word not in _OF_A_DOSE), "")
    return last in _BEFORE_A_MEDICATION


def _leads_to_finding(before: Sequence[str]) -> bool:
    """ "There is a little ...": the last word but articles; not "he's a liar"."""
    if before[-2:] in (["is", "a"], ["'s", "a"]):
        return False
    last = next((word for word in reversed(before) if word not in _BARE_ARTICLES), "")
    return last in _BEFORE_A_FINDING


def _candidate(name: Named, words: str, facts: Sequence[Fact]) -> Fact:
    code = "other_finding" if name.label == "FINDING" else "medication"
    before = [f for f in facts if f.feet and f.span[1] <= name.end + 1]
    near = max(before, key=lambda f: f.span[1], default=None)
    feet = near.feet if near is not None and code == "other_finding" else ()
    basis = FootBasis.CARRIED if feet else FootBasis.WHOLE_HORSE
    return Fact(
        kind=FactKind.FINDING if code == "other_finding" else FactKind.NOTE,
        code=code,
        feet=feet,
        foot_basis=basis,
        details={"text": words},
        span=(name.start, name.end),
        rule=f"ner:{name.label.lower()}",
        confidence=0.5,
        doubts=(Doubt("model_candidate", _REASON),),
        why_foot="The foot named before it." if feet else "",
    )


def _lacks_person(fact: Fact) -> bool:
    """Whether it is advice, and to nobody yet."""
    return fact.kind is FactKind.ADVICE and not fact.details.get("to")


def _with_person(fact: Fact, name: Named, words: str) -> Fact:
    if not _lacks_person(fact):
        return fact
    if not 0 <= name.start - fact.span[1] <= 12:
        return fact
    return replace(fact, details={**fact.details, "to": words.title()})


def _without(passage: Passage, taken: Sequence[tuple[int, int]], text: str) -> list[Passage]:
    """What is left of a passage; one of which nothing was taken stays, with what it offers."""
    if not any(passage.span[0] <= start and end <= passage.span[1] for start, end in taken):
        return [passage]
    pieces = [passage.span]
    for start, end in taken:
        pieces = [
            part
            for low, high in pieces
            for part in (
                ((low, start), (end, high)) if low <= start and end <= high else ((low, high),)
            )
        ]
    out = []
    for low, high in pieces:
        piece = text[low:high]
        if any(c.isalnum() for c in piece):
            left = low + len(piece) - len(piece.lstrip())
            right = high - (len(piece) - len(piece.rstrip()))
            out.append(Passage((left, right), text[left:right]))
    return out
