"""Whatever is said: no crash, no lost word, spans inside the text, a round trip through JSON."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Sequence
from datetime import datetime

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fieldlog.config import Settings
from fieldlog.core.facts import Entry
from fieldlog.core.words import Transcript, Word
from fieldlog.language.lexicon import KINDS, items, read_data
from fieldlog.language.pipeline import Understander
from fieldlog.language.words.marks import Mark, resolve

RECORDED = datetime(2026, 11, 25, 9, 0)
TRADE = sorted(
    {
        word
        for name in KINDS
        for item in items(name)
        for form in item.forms
        for word in form.replace("(", " ").replace("|", " ").replace("[", " ").split()
        if word.isalpha()
    }
    | {
        "left",
        "right",
        "near",
        "off",
        "front",
        "fore",
        "hind",
        "both",
        "all",
        "four",
        "the",
        "on",
        "no",
        "not",
        "and",
        "or",
        "but",
        "maybe",
        "scratch",
        "that",
        "make",
        "it",
        "three",
        "quarter",
        "inch",
        "mil",
        "fifty",
        "two",
        "degrees",
        "size",
        "one",
        "weeks",
        "in",
        "next",
        "horse",
        "tilly",
        "same",
        "other",
        "if",
        "vet",
        "owner",
        "says",
        "better",
        "than",
        "last",
        "time",
        "i",
        "mean",
        "sorry",
        "er",
        "his",
        "is",
        "'s",
    }
)
spoken = st.lists(st.sampled_from(TRADE), max_size=40).map(" ".join)
odd = st.text(max_size=80)
punctuated = st.lists(st.sampled_from([*TRADE, ",", ".", ";", "?"]), max_size=40).map(" ".join)
loose = settings(
    max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


def check(entries: Sequence[Entry], text: str) -> None:
    assert entries
    covered = [False] * len(text)
    for entry in entries:
        assert entry.text == text
        spans = [f.span for f in entry.facts]
        spans += [c.span for c in entry.corrections]
        spans += [p.span for p in entry.passages]
        spans += [entry.horse.span] if entry.horse else []
        for start, end in spans:
            assert 0 <= start <= end <= len(text)
            for at in range(start, end):
                covered[at] = True
        assert all(text[p.span[0] : p.span[1]] == p.text for p in entry.passages)
        assert Entry.from_dict(entry.to_dict()) == entry
        for fact in entry.facts:
            assert 0 <= fact.confidence <= 1
            assert fact.rule
    lost = [c for c, seen in zip(text, covered, strict=True) if not seen and c.isalnum()]
    assert not lost, "".join(lost)


@loose
@given(text=st.one_of(spoken, odd, punctuated))
def test_any_text(text: str, understander: Understander) -> None:
    check(understander.understand(Transcript.typed(text), recorded=RECORDED), text)


@loose
@given(
    words=st.lists(st.tuples(st.sampled_from(TRADE), st.floats(0, 1), st.floats(0, 3)), max_size=30)
)
def test_any_recognised_words(
    words: list[tuple[str, float, float]], understander: Understander
) -> None:
    at = 0.0
    heard = []
    for text, confidence, gap in words:
        heard.append(Word(text, at + gap, at + gap + 0.3, confidence))
        at += gap + 0.3
    transcript = Transcript(tuple(heard))
    found = understander.understand(
        transcript, recorded=RECORDED, names=("Tilly", "Duke"), settings=Settings()
    )
    check(found, transcript.text)
    for entry in found:
        for fact in entry.facts:
            assert fact.sound is None or 0 <= fact.sound[0] <= fact.sound[1] <= at + 1e-6


def test_empty_note(understander: Understander) -> None:
    entry = understander.understand(Transcript.typed(""), recorded=RECORDED)[0]
    assert (entry.facts, entry.passages, entry.horse) == ((), (), None)


def test_unknown_words_are_kept(entries: Callable[..., tuple[Entry, ...]]) -> None:
    entry = entries("the gate latch wants mending. left front thrush.")[0]
    assert "gate latch wants mending" in entry.passages[0].text


def test_known_horse_of_the_note(understander: Understander) -> None:
    entry = understander.understand(
        Transcript.typed("left front thrush"), recorded=RECORDED, horse="Duke"
    )[0]
    assert entry.horse is not None
    assert entry.horse.name == "Duke"


def test_fact_has_the_sound_it_came_from(understander: Understander) -> None:
    words = [
        Word(w, i * 0.5, i * 0.5 + 0.4, 0.95) for i, w in enumerate(["left", "front", "thrush"])
    ]
    entry = understander.understand(Transcript(tuple(words)), recorded=RECORDED)[0]
    assert entry.facts[0].sound == (0.0, 1.4)


def test_a_word_heard_badly_is_a_reason_to_look(understander: Understander) -> None:
    words = (Word("left", 0, 0.3, 0.9), Word("front", 0.3, 0.6, 0.9), Word("thrush", 0.6, 1, 0.3))
    sure = tuple(Word(w.text, w.start, w.end, 0.99) for w in words)
    bad = understander.understand(Transcript(words), recorded=RECORDED)[0].facts[0]
    good = understander.understand(Transcript(sure), recorded=RECORDED)[0].facts[0]
    assert "word_confidence" in [d.code for d in bad.doubts]
    assert not good.doubts
    assert bad.confidence < good.confidence


@given(
    st.lists(
        st.tuples(
            st.sampled_from(["finding", "place", "role", "foot"]),
            st.integers(0, 12),
            st.integers(1, 4),
        ),
        max_size=12,
    )
)
def test_resolved_marks_never_overlap(raw: list[tuple[str, int, int]]) -> None:
    marks = [Mark(kind, "copula" if kind == "role" else "x", at, at + n) for kind, at, n in raw]
    chosen = resolve(marks)
    seen: set[int] = set()
    for mark in chosen:
        assert not mark.covers() & seen
        seen |= mark.covers()
    # Who is left out met one that won.
    assert all(mark.covers() & seen for mark in marks if mark.kind != "role")


def test_importing_the_package_does_not_import_spacy() -> None:
    code = (
        "import sys, fieldlog.language.wording, fieldlog.language.pipeline, "
        "fieldlog.language.personal; sys.exit('spacy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_every_id_that_an_item_emits_exists() -> None:
    for name in KINDS:
        ids = {item.id for item in items(name)}
        for item in items(name):
            assert item.more.get("emits", item.id) in ids


def test_roles_are_named_once() -> None:
    for name in ("context", "corrections"):
        ids = [row["id"] for row in read_data(name)["role"]]
        assert len(ids) == len(set(ids))
