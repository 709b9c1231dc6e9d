"""Rounds of batches: each text once or twice, drawn anew, made ready by processes beside ours."""

from __future__ import annotations

import multiprocessing
import random
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor
from typing import Any, NamedTuple

from batches import Batch, Reader, Text
from language_model import Speller

from fieldlog.language.opinion.word_pieces import unstopped

BATCH = 128
"""Texts that are learnt from at once."""
ROOM = 14_000
"""Words that those may have, each filled up to the longest."""
DRAWN = 40_000
"""Drawn notes in a round that the large networks are asked about."""
AHEAD = 3
"""Rounds that are made ready while one is learnt from."""
HIDE = 0.04
"""Share of the words that are not read, so that others must do."""
HEARD = 0.4
"""Share of the notes that are read as recognised."""
QUARTER = 4
"""Of the labelled talk, of which there is much, a round without teachers takes a quarter."""

ByKind = Mapping[str, Sequence[Any]]
"""The examples by kind: phrase, talk, unsure, note (``examples.py``), drawn (``draw.py``)."""


def texts_of_a_round(by_kind: ByKind, dice: random.Random, all_talk: bool) -> list[Text]:
    """Phrases alone or in a row, talk, notes twice; with ``all_talk`` what nobody labelled too."""
    texts = phrases_in_rows(by_kind["phrase"], dice)
    many = len(by_kind["talk"]) // (1 if all_talk else QUARTER)
    talk = dice.sample(by_kind["talk"], many)
    texts += [Text(as_said(e["words"], dice), e["labels"], e["told"]) for e in talk]
    if all_talk:
        texts += unlabelled(by_kind, dice)
    for note in by_kind["note"]:
        # As typed, without stops, and as a recogniser heard it or may have.
        texts += [as_annotated(note, dice) for _ in range(2)]
    return [text for text in texts if text.words]


def phrases_in_rows(phrases: Sequence[Any], dice: random.Random) -> list[Text]:
    """Every phrase once, alone or behind others, half of the rows with stops between."""
    left, texts = dice.sample(phrases, len(phrases)), []
    while left:
        group = [left.pop() for _ in range(min(len(left), dice.choice((1, 1, 2, 3))))]
        stop = ["."] if dice.random() < 0.5 else []
        words = [w for e in group for w in (*e["words"], *stop)]
        texts.append(Text(words, [c for e in group for c in e["labels"]]))
    return texts


def unlabelled(by_kind: ByKind, dice: random.Random) -> list[Text]:
    """Talk of which the rules are not sure, and some of the drawn notes."""
    texts = [Text(as_said(e["words"], dice), labelled=False) for e in by_kind["unsure"]]
    for note in dice.sample(by_kind["drawn"], min(DRAWN, len(by_kind["drawn"]))):
        words = note["heard"] if dice.random() < HEARD else as_said(note["words"], dice)
        texts.append(Text(words, labelled=False))
    return texts


def as_annotated(note: Any, dice: random.Random) -> Text:
    """A note as typed or as recognised; only as typed is it known which words its numbers are."""
    heard = dice.random() < HEARD
    words = note["heard"] if heard else as_said(note["words"], dice)
    return Text(words, note["labels"], note["told"], [] if heard else note["tied"])


def as_said(words: Sequence[str], dice: random.Random) -> Sequence[str]:
    """The words, half of the time without stops."""
    return words if dice.random() < 0.5 else unstopped(words)


def in_batches(
    texts: list[Text], dice: random.Random, size: int, room: int = ROOM
) -> list[list[Text]]:
    """The texts in any order, those of like length together: at most ``size``, within ``room``."""
    dice.shuffle(texts)
    texts.sort(key=lambda text: len(text.words) // 6)
    batches: list[list[Text]] = [[]]
    longest = 0
    for text in texts:
        longest = max(longest, len(text.words))
        if len(batches[-1]) == size or longest * (len(batches[-1]) + 1) > room:
            batches.append([])
            longest = len(text.words)
        batches[-1].append(text)
    dice.shuffle(batches)
    return batches


class Source(NamedTuple):
    """What rounds are made of."""

    pieces: Sequence[str]
    names: Sequence[str]
    by_kind: ByKind
    spellers: Sequence[Speller] = ()
    size: int = BATCH
    """Texts in a batch, at most."""
    room: int = ROOM
    """Words in a batch, at most, each text filled up to the longest."""


class Rounds:
    """Rounds of batches, made ready by other processes while the last one is learnt from.

    Make it before the first tensor goes to the GPU: the processes are forks.
    """

    def __init__(self, source: Source) -> None:
        fork = multiprocessing.get_context("fork")
        self._pool = ProcessPoolExecutor(AHEAD, fork, _SOURCE.append, (source,))
        self._pool.submit(int).result()

    def __call__(self, many: int, all_talk: bool, begin: int) -> Iterator[list[Batch]]:
        """``many`` rounds; ``begin`` makes them other ones."""
        waiting: list[Future[Any]] = []
        for n in range(many + AHEAD):
            if n < many:
                waiting.append(self._pool.submit(_one_round, 1000 * begin + n, all_talk))
            if n >= AHEAD:
                yield waiting.pop(0).result()


_SOURCE: list[Source] = []
"""In a process that makes rounds: what it makes them of."""


def _one_round(seed: int, all_talk: bool) -> list[Batch]:
    source = _SOURCE[-1]
    reader = Reader(source.pieces, source.names, seed, source.spellers)
    texts = texts_of_a_round(source.by_kind, reader.dice, all_talk)
    batches = in_batches(texts, reader.dice, source.size, source.room)
    return [reader.batch(some, HIDE) for some in batches]
