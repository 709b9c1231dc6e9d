"""A second opinion on what was said: a small trained network reads the words without any rule.

For every word of a note it gives the chance that each code (a finding, a job, a measure...) is said
there, or said to be absent, and how what is said there is told. It was trained on annotated notes,
labelled phrases and talk (``models/gist``), so it errs elsewhere than the rules do: a fact that
both agree on is far likelier right than one that only a pattern saw. ``gist_marks`` and
``gist_facts`` propose what no rule understood, ``standing`` sets aside what is unlikely,
``numbers_heard`` and ``weighing`` weigh what a number is of, feet and manner, ``confidence`` how
sure a fact is.

The network: a transformer of four layers over word pieces, one output per code at the first piece
of each word. A stretch holds a code if any of its words says so (noisy or). ONNX Runtime computes
it, with bytes (``models/gist/stored.py``); no file, no opinion.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

from fieldlog.errors import OpinionDamaged
from fieldlog.language.opinion.digits_said import DIGITS, SHORT, SIGNS, digits_said
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.labels import label
from fieldlog.language.opinion.word_pieces import HIDDEN, STOPS, Pieces
from fieldlog.paths import project_folder

MODEL = "gist-net"
"""Folder below ``models`` that holds the shipped network."""
NETWORK = "network.onnx"
"""The network's file in it."""
ERRORS = 3
"""ONNX Runtime's level at which it writes of errors only."""
WINDOW, EDGE = 160, 12
"""Words read at once, about as many as the longest texts learnt from hold, and how many of them at
either end only give the others their company."""
STRANGE = 4
"""A word of so many pieces is no word that the network could know."""
PIECES = 300
"""Word pieces that the network has places for; what a window holds beyond them is not read."""
_READ_AS = {"!": ".", "?": ".", ";": ".", ":": ","}
_WORD = re.compile(rf"{SIGNS}|[a-z]+(?:'[a-z]+)?|(?<!\d)[.,;:!?](?!\d)|(?P<digits>{DIGITS})")


def words_of(text: str) -> list[tuple[str, int, int]]:
    """The words that the network reads, lower case, and the ``STOPS`` between them, with their
    first and last character; digits and short forms as they are said, each word at all of them."""
    plain = text.lower().replace("’", "'")
    out = []
    for found in _WORD.finditer(plain):
        word = found[0]
        said = digits_said(word) if found["digits"] else SHORT.get(word)
        for one in (_READ_AS.get(word, word),) if said is None else said:
            out.append((one, found.start(), found.end()))
    return out


@dataclass(frozen=True, slots=True)
class HowRead:
    """How the words of a note are read."""

    hidden: tuple[Span, ...] = ()
    """Characters of words that mean something else than they say, as a horse named Copper; they
    are read as words that nobody heard."""
    cuts: tuple[int, ...] = ()
    """Characters at which another horse's words begin: each horse's are read by themselves."""


WHOLE = HowRead()
"""All words, together."""


class Network:
    """The loaded network.

    Args:
        folder: ``NETWORK``, ``pieces.txt`` and ``codes.txt``.

    Raises:
        OpinionDamaged: the network cannot be loaded.
    """

    def __init__(self, folder: Path) -> None:
        self._pieces = Pieces((folder / "pieces.txt").read_text(encoding="utf-8").split("\n"))
        codes = (folder / "codes.txt").read_text(encoding="utf-8").split()
        self._manners = {name: at for at, name in enumerate(n for n in codes if n.startswith("@"))}
        codes = [name for name in codes if not name.startswith("@")]
        names = [label(c.removeprefix("not:"), c.startswith("not:")) for c in codes]
        self._columns = {name: at for at, name in reversed(list(enumerate(names)))}
        # Two outputs for one saying: whichever hears it.
        self._joined = [(at, to) for at, name in enumerate(names)
                        if (to := self._columns[name]) != at]  # fmt: skip
        self._session = _session(folder / NETWORK)

    def read(self, text: str, how: HowRead = WHOLE) -> Opinion:
        """The opinion on a note.

        Args:
            text: the note.
            how: what is read as if nobody had heard it, and what is read by itself.
        """
        import numpy as np

        words = tuple(words_of(text))
        if not words:
            return Opinion((), np.zeros((0, len(self._columns))), self._columns)
        seen = [
            HIDDEN if any(a < last and first < b for a, b in how.hidden) else word
            for word, first, last in words
        ]
        parts = []
        for low, high in pairwise(_cut(words, how.cuts)):
            for first, last in windows(high - low):
                begin, end = max(low, low + first - EDGE), min(high, low + last + EDGE)
                parts.append((seen[begin:end], low + first - begin, low + last - begin))
        logits = self._logits(parts)
        codes = logits.shape[1] - len(self._manners)
        not_said = -_softplus(logits[:, :codes])
        for at, to in self._joined:
            not_said[:, to] += not_said[:, at]
        not_said[[self._says_nothing(word) for word in seen]] = 0.0
        manner = 1 / (1 + np.exp(-logits[:, codes:]))
        return Opinion(words, not_said, self._columns, manner, self._manners)

    @property
    def known(self) -> int:
        """How many codes, said or denied, it can hear."""
        return len(self._columns)

    def _says_nothing(self, word: str) -> bool:
        """Whether it is a stop, or a name or noise: nothing that an English word is made of."""
        return word in STOPS or word == HIDDEN or len(self._pieces.of(word)) >= STRANGE

    def _logits(self, parts: Sequence[tuple[Sequence[str], int, int]]) -> Any:
        """Words by codes.

        Args:
            parts: words that are read together, the first of them that is asked for and the one
                behind the last; the others are their company.
        """
        import numpy as np

        rows = []
        for words, first, last in parts:
            own, starts = self._pieces.row(words)
            own = own[:PIECES]
            wanted = [min(at, len(own) - 1) for at in starts[first:last]]
            given = {"pieces": np.array(own, np.int64), "wanted": np.array(wanted, np.int64)}
            rows += self._session.run(["says"], given)
        return np.concatenate(rows)


def _session(network: Path) -> Any:
    """What runs a stored network, on one core: a note is short, and speech wants the others.

    Raises:
        OpinionDamaged: it cannot be loaded.
    """
    import onnxruntime

    onnxruntime.disable_telemetry_events()
    settings = onnxruntime.SessionOptions()
    settings.intra_op_num_threads = settings.inter_op_num_threads = 1
    settings.log_severity_level = ERRORS
    try:
        return onnxruntime.InferenceSession(
            network.read_bytes(), settings, providers=["CPUExecutionProvider"]
        )
    except Exception as problem:  # its own kinds of errors have no other base
        raise OpinionDamaged(
            f"{network} is damaged.",
            "Install fieldlog again; your records are not touched.",
        ) from problem


def _cut(words: Sequence[tuple[str, int, int]], cuts: Sequence[int]) -> list[int]:
    """The first word of each part of a note, and how many words there are."""
    begins = [word[1] for word in words]
    return sorted({0, len(words), *(bisect_left(begins, cut) for cut in cuts)})


def windows(count: int) -> list[tuple[int, int]]:
    """Stretches of words to be read one after the other, about alike in length.

    A note of up to ``WINDOW`` words is one stretch; in a longer one each is read with ``EDGE``
    words of its neighbours, so that no more than ``WINDOW`` words are read at once.
    """
    if count <= WINDOW:
        return [(0, count)]
    many = -(-count // (WINDOW - 2 * EDGE))
    cuts = [count * n // many for n in range(many + 1)]
    return list(pairwise(cuts))


def _softplus(x: Any) -> Any:
    """The log of 1 plus the exponential, without overflow."""
    import numpy as np

    out = np.exp(-np.abs(x))
    np.log1p(out, out=out)
    out += np.maximum(x, 0.0)
    return out


@cache
def network() -> Network | None:
    """The shipped network, loaded once; None if there is none."""
    models = project_folder("models")
    folder = models / MODEL if models is not None else None
    return Network(folder) if folder is not None and (folder / NETWORK).is_file() else None


@lru_cache(maxsize=8)
def opinion(text: str, how: HowRead = WHOLE) -> Opinion | None:
    """What the shipped network says about a note (see ``Network.read``); None without one."""
    ready = network()
    return ready.read(text, how) if ready is not None else None
