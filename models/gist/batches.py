"""Texts and what is known of them, as the arrays that the networks of ``train.py`` learn from."""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, fields
from types import MappingProxyType
from typing import Any, NamedTuple

import numpy as np
import torch
from device import DEVICE
from language_model import Speller

from fieldlog.language.opinion.word_pieces import HIDDEN, STOPS, Pieces

SORTS = ("number", "time")
"""What may be tied to a fact: its value, or when it is to be done."""
PAD = "[PAD]"
LONGEST = 250
"""Words of a text that are read."""

View = tuple[Any, Any, Any]
"""Pieces, which are real, and the piece of each word that speaks for it."""


class Text(NamedTuple):
    """A text to learn from."""

    words: Sequence[str]
    codes: Sequence[str] = ()
    """What is said in it."""
    told: Mapping[str, Sequence[str]] = MappingProxyType({})
    """How each code is told, where somebody annotated that."""
    tied: Sequence[Mapping[str, Any]] = ()
    """What its numbers and times tell, as ``examples.tied`` has it."""
    labelled: bool = True
    """Whether the codes are known."""


@dataclass(frozen=True)
class Batch:
    """Some texts, as arrays here and as tensors where they are learnt from."""

    views: tuple[View, ...]
    """As the small network and the sentence model read them; then as each language model does."""
    word: Any
    """(texts, words): which are words, not stops."""
    said: Any
    """(texts, codes)."""
    pair: Any
    """For each annotated code its text and its column."""
    how: Any
    """For each of these how it is told."""
    spelt: Any
    """For each word of a number or time that is annotated its text, its place and its number."""
    numbers: Any
    """For each such number its text, its column, whether it is told how, and its sort."""
    number_how: Any
    """For each of these how it is told."""
    labelled: Any
    """(texts,): whose codes are known."""

    def __len__(self) -> int:
        return len(self.said)

    def on_device(self) -> Batch:
        """As tensors; marks and targets as numbers, what is real as it is."""

        def one(array: Any, mark: bool = False) -> Any:
            tensor = torch.from_numpy(array).to(DEVICE, non_blocking=True)
            if array.dtype == np.int32:
                return tensor.long()
            return tensor.float() if array.dtype == bool and not mark else tensor

        views = tuple((one(ids), one(real, True), one(at)) for ids, real, at in self.views)
        rest = {f.name: one(getattr(self, f.name)) for f in fields(self) if f.name != "views"}
        return Batch(views=views, **rest)


class Reader:
    """From texts to the networks' input."""

    def __init__(
        self, pieces: Sequence[str], names: Sequence[str], seed: int,
        spellers: Sequence[Speller] = (),
    ) -> None:  # fmt: skip
        """Set up.

        Args:
            pieces: the word pieces of the small network and the sentence model.
            names: the codes, then how they are told (``@...``).
            seed: of which words are hidden.
            spellers: of the language models.
        """
        self.pieces = Pieces(pieces)
        self.spellers = spellers
        codes = [name for name in names if not name.startswith("@")]
        self.column = {c: i for i, c in enumerate(codes)}
        self.how = {name: i for i, name in enumerate(names[len(codes) :])}
        self.dice = random.Random(seed)

    def batch(self, texts: Sequence[Text], hide: float = 0.0) -> Batch:
        """The batch of some texts; ``hide`` is the share of words replaced by the mask."""
        read = [self._some_hidden(text.words, hide) for text in texts]
        many = max(1, *(len(words) for words in read), 1)
        pair, how = self._told(texts)
        spelt, numbers, number_how = self._ties(texts)
        return Batch(
            views=self._views(read, many),
            word=_words(texts, many),
            said=_marked([t.codes for t in texts], self.column),
            pair=pair,
            how=how,
            spelt=spelt,
            numbers=numbers,
            number_how=number_how,
            labelled=np.array([t.labelled for t in texts], bool),
        )

    def _some_hidden(self, words: Sequence[str], hide: float) -> list[str]:
        return [HIDDEN if hide and self.dice.random() < hide else w for w in words[:LONGEST]]

    def _views(self, read: Sequence[list[str]], many: int) -> tuple[View, ...]:
        ours = _view([self.pieces.row(r) for r in read], many, self.pieces.number[PAD])
        theirs = [_view([speller.row(r) for r in read], many, 0) for speller in self.spellers]
        return (ours, *theirs)

    def _told(self, texts: Sequence[Text]) -> tuple[Any, Any]:
        """The annotated codes (text, column), and how each is told."""
        pairs, hows = [], []
        for n, text in enumerate(texts):
            for code, how in text.told.items():
                if code in self.column:
                    pairs.append((n, self.column[code]))
                    hows.append(how)
        return _wide(pairs, 2), _marked(hows, self.how)

    def _ties(self, texts: Sequence[Text]) -> tuple[Any, Any, Any]:
        """The words of numbers and times, these, and how each is told; see ``Batch``."""
        spelt, numbers, hows = [], [], []
        for n, text in enumerate(texts):
            for tie, places in _placed(text):
                if tie["code"] in self.column and places[-1] < LONGEST:
                    spelt += [(n, place, len(numbers)) for place in places]
                    told, sort = tie["told"], SORTS.index(tie["sort"])
                    numbers.append((n, self.column[tie["code"]], told is not None, sort))
                    hows.append(told or ())
        return _wide(spelt, 3), _wide(numbers, 4), _marked(hows, self.how)


def _placed(text: Text) -> list[tuple[Mapping[str, Any], list[int]]]:
    """Each tie of a text with the places of its words; ties count no stops, places do."""
    at = [i for i, w in enumerate(text.words) if w not in STOPS] if text.tied else []
    return [(tie, [at[i] for i in tie["words"]]) for tie in text.tied]


def _view(rows: Sequence[tuple[list[int], list[int]]], many: int, pad: int) -> View:
    wide = max(len(row) for row, _ in rows)
    ids = np.full((len(rows), wide), pad, np.int32)
    real, at = np.zeros((len(rows), wide), bool), np.zeros((len(rows), many), np.int32)
    for n, (row, places) in enumerate(rows):
        ids[n, : len(row)], real[n, : len(row)], at[n, : len(places)] = row, True, places
    return ids, real, at


def _words(texts: Sequence[Text], many: int) -> Any:
    """(texts, ``many``): which are words, not stops, hidden or not."""
    out = np.zeros((len(texts), many), bool)
    for n, text in enumerate(texts):
        read = text.words[:LONGEST]
        out[n, : len(read)] = [w not in STOPS for w in read]
    return out


def _marked(rows: Sequence[Iterable[str]], column: Mapping[str, int]) -> Any:
    """(rows, columns): the names of each row that have a column."""
    out = np.zeros((len(rows), len(column)), bool)
    for n, names in enumerate(rows):
        out[n, [column[name] for name in names if name in column]] = True
    return out


def _wide(rows: Sequence[tuple[int, ...]], many: int) -> Any:
    """(rows, ``many``), also where there is no row."""
    return np.array(rows, np.int32).reshape(-1, many)
