"""Lexicon and grammar to one phone graph: L o G, determinised and minimised with kaldifst."""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path

import kaldifst
import kaldilm
import numpy as np
from phones import PHONES
from words import NAME

from fieldlog.speech.phone_graph import PhoneGraph

SILENCE = 1
SLOT = "NAME"
Prons = dict[str, list[tuple[str, ...]]]


def phone_names() -> list[str]:
    """Phone symbols by number: silence, each phone by place in the word, last the name slot."""
    return ["<eps>", "SIL", *(f"{p}_{x}" for p in PHONES for x in "BIES"), SLOT]


def placed(phones: tuple[str, ...]) -> list[str]:
    """Phones with their place in the word: single, or begin, inside, end."""
    if len(phones) == 1:
        return [f"{phones[0]}_S"]
    return [f"{phones[0]}_B", *(f"{p}_I" for p in phones[1:-1]), f"{phones[-1]}_E"]


def word_numbers(words: list[str]) -> dict[str, int]:
    """words.txt numbering: epsilon, the words, the class word, then Kaldi's special symbols."""
    listed = ["<eps>", *words, NAME, "<unk>", "#0", "<s>", "</s>"]
    return {w: i for i, w in enumerate(listed)}


def lexicon_fst(prons: Prons, numbers: dict[str, int], quiet: float) -> tuple[object, int]:
    """(L with optional silence and disambiguation symbols, first disambiguation symbol).

    ``quiet`` is the probability of silence between words.
    """
    names = phone_names()
    number = {n: i for i, n in enumerate(names)}
    first = len(names)
    entries = [(w, placed(p)) for w, ps in prons.items() for p in ps] + [(NAME, [SLOT])]
    spelled = Counter(tuple(p) for _, p in entries)
    prefixes = {p[:i] for p in spelled for i in range(1, len(p))}
    used: Counter[tuple[str, ...]] = Counter()
    marked = []
    for word, phones in entries:
        key = tuple(phones)
        mark = 0
        if spelled[key] > 1 or key in prefixes:
            used[key] += 1
            mark = used[key]
        marked.append((word, phones, mark))
    loop, before, after = 1, 2, 3
    silence_mark = first + 1 + max(used.values(), default=0)
    yes, no = -math.log(quiet), -math.log(1 - quiet)
    rows = [
        f"0 {loop} 0 0 {no}",
        f"0 {after} {SILENCE} 0 {yes}",
        f"{after} {loop} {silence_mark} 0 0",
        f"{before} {after} {SILENCE} 0 0",
    ]
    free = 4
    for word, phones, mark in marked:
        labels = [number[p] for p in phones] + ([first + mark] if mark else [])
        at, out = loop, numbers[word]
        for label in labels[:-1]:
            rows.append(f"{at} {free} {label} {out} 0")
            at, out, free = free, 0, free + 1
        rows.append(f"{at} {loop} {labels[-1]} {out} {no}")
        rows.append(f"{at} {before} {labels[-1]} {out} {yes}")
    rows += [f"{loop} {loop} {first} {numbers['#0']} 0", f"{loop} 0"]
    return kaldifst.compile("\n".join(rows) + "\n"), first


def phone_graph(
    arpa: Path, words_txt: Path, prons: Prons, numbers: dict[str, int], quiet: float = 0.3
) -> PhoneGraph:
    """The whole graph; ``words_txt`` must hold ``numbers`` already."""
    lexicon, first = lexicon_fst(prons, numbers, quiet)
    kaldifst.arcsort(lexicon, "olabel")
    text = kaldilm.arpa2fst(
        str(arpa), "", disambig_symbol="#0", read_symbol_table=str(words_txt), max_order=3
    )
    grammar = kaldifst.compile(text)
    kaldifst.arcsort(grammar, "ilabel")
    both = kaldifst.compose(lexicon, grammar)
    kaldifst.determinize_star(both)
    kaldifst.minimize_encoded(both)
    return as_arrays(both, first)


def as_arrays(fst: object, first_mark: int) -> PhoneGraph:
    """Columns of a kaldifst graph, states in depth-first order, disambiguation made silent."""
    rows: list[tuple[int, int, int, float, int]] = []
    count = fst.num_states  # type: ignore[attr-defined]
    finals = np.full(count, np.inf)
    for state in range(count):
        final = fst.final(state)  # type: ignore[attr-defined]
        finals[state] = getattr(final, "value", final)
        for arc in kaldifst.ArcIterator(fst, state):
            label = 0 if arc.ilabel >= first_mark else arc.ilabel
            cost = getattr(arc.weight, "value", arc.weight)
            rows.append((state, label, arc.olabel, cost, arc.nextstate))
    table = np.array(rows, np.float64)
    source, phone, word, target = (table[:, i].astype(np.int64) for i in (0, 1, 2, 4))
    new = _depth_first(source, target, count, fst.start)  # type: ignore[attr-defined]
    source, target = new[source], new[target]
    order = np.lexsort((target, phone, source))
    ends = np.full(count, np.inf)
    ends[new] = finals
    return PhoneGraph(
        source[order], phone[order], word[order], table[order, 3], target[order], ends, 0
    )


def _depth_first(source: np.ndarray, target: np.ndarray, count: int, start: int) -> np.ndarray:
    """New numbers so that most arcs lead to a near state, which packs better."""
    first = np.searchsorted(source, np.arange(count + 1)).tolist()
    targets = target.tolist()
    new = np.full(count, -1, np.int64)
    stack, free = [start], 0
    while stack:
        state = stack.pop()
        if new[state] >= 0:
            continue
        new[state] = free
        free += 1
        for i in reversed(range(first[state], first[state + 1])):
            if new[targets[i]] < 0:
                stack.append(targets[i])
    rest = np.flatnonzero(new < 0)
    new[rest] = np.arange(free, free + len(rest))
    return new
