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
from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache, cached_property, lru_cache
from itertools import pairwise
from math import expm1
from pathlib import Path
from typing import Any

from fieldlog.core.facts import Fact
from fieldlog.errors import OpinionDamaged
from fieldlog.language.lexicon import read_data
from fieldlog.language.opinion.digits_said import DIGITS, SHORT, SIGNS, digits_said
from fieldlog.language.opinion.word_pieces import FEET_TOLD, HIDDEN, STOPS, Pieces
from fieldlog.paths import project_folder

MODEL = "gist-net"
"""Folder below ``models`` that holds the shipped network."""
NETWORK = "network.onnx"
"""The network's file in it."""
ERRORS = 3
"""ONNX Runtime's level at which it writes of errors only."""
BESIDE = 3
"""Words on either side of a fact that may say it too."""
WINDOW, EDGE = 160, 12
"""Words read at once, about as many as the longest texts learnt from hold, and how many of them at
either end only give the others their company."""
MAY_SAY = -0.1
"""Log of the chance of not saying a code below which a word belongs to the words that say it."""
ALSO_SAYS = 0.1
"""Chance of saying it of a foot above which a word belongs to the words that say so."""
STRANGE = 4
"""A word of so many pieces is no word that the network could know."""
PIECES = 300
"""Word pieces that the network has places for; what a window holds beyond them is not read."""
SAME = {
    "sound": "lameness", "tester_negative": "tester_positive", "next_trim_weak": "next_trim",
    "cycle": "next_trim", "call_weak": "call", "owner_care_weak": "owner_care",
    "second_handler_weak": "second_handler", "sedation_weak": "sedation_by_vet",
    "check_weak": "recheck", "recheck_weak": "recheck", "vet_weak": "vet_visit",
}  # fmt: skip
"""Codes that the network knows under another name."""
TURNED = frozenset({"sound", "tester_negative"})
"""Those of them that deny their other name; ``denies`` has the ids that can do nothing else."""
FLAGS = ("uncertain", "historical", "planned")
"""Flags of a fact that have an output of their own."""
Span = tuple[int, int]
"""First character, and the one behind the last."""
_READ_AS = {"!": ".", "?": ".", ";": ".", ":": ","}
_WORD = re.compile(rf"{SIGNS}|[a-z]+(?:'[a-z]+)?|(?<!\d)[.,;:!?](?!\d)|(?P<digits>{DIGITS})")


@cache
def denies() -> dict[str, str]:
    """Ids that only ever make another code, denied: a cool foot is heat denied."""
    rows = [*read_data("findings")["finding"], *read_data("work")["work"]]
    return {row["id"]: row["emits"] for row in rows if row.get("emits_negated")}


@cache
def label(code: str, negated: bool) -> str:
    """The network's name for a code, ``not:`` before it where it is said to be absent."""
    denied = negated != (code in TURNED or code in denies())
    code = denies().get(code, code)
    return ("not:" if denied else "") + SAME.get(code, code)


def told_with(fact: dict[str, Any]) -> list[str]:
    """The network's names for how a fact was told: feet, places, flags, who says so.

    Args:
        fact: its fields as ``Fact.to_dict`` or the gold notes have them.
    """
    out = [f"@{foot}" for foot in fact.get("feet", ())]
    for place in fact.get("places", ()):
        side, _, part = place.partition("_")
        if side not in ("medial", "lateral"):
            side, part = "", place
        out += [f"@{side}"] if side else []
        out += [f"@at_{part}"] if part not in ("", "wall") or not side else []
    out += [f"@{flag}" for flag in FLAGS if fact.get(flag)]
    out += [f"@{fact['severity']}"] if fact.get("severity") else []
    reporter = fact.get("reporter")
    out += [f"@{reporter}"] if reporter and reporter != "farrier" else []
    out += [f"@{fact['comparison']['trend']}"] if fact.get("comparison") else []
    return out


def as_told(fact: Fact) -> dict[str, Any]:
    """The fields of a fact that ``told_with`` reads; all of ``Fact.to_dict`` takes far longer."""
    compared = fact.comparison
    return {
        "code": fact.code,
        "feet": fact.feet,
        "places": fact.places,
        "severity": fact.severity,
        "reporter": fact.reporter,
        "comparison": {"trend": compared.trend} if compared is not None else None,
        **{flag: getattr(fact, flag) for flag in FLAGS},
    }


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


@dataclass(frozen=True)
class Opinion:
    """What the network says about one note."""

    words: tuple[tuple[str, int, int], ...]
    not_said: Any
    """Natural log of the chance that a code is not said, words by codes."""
    columns: dict[str, int]
    manner: Any = None
    """The chance, 0 to 1, that what a word says is told so, words by manners."""
    manners: dict[str, int] = field(default_factory=dict)
    """``told_with``'s names and their columns in ``manner``."""

    def told(
        self, code: str, negated: bool, span: tuple[int, int], beside: int = BESIDE
    ) -> Mapping[str, float]:
        """How a code is told within a span: the chance of each manner, given that it is said there.

        Args:
            code: an id of the vocabulary.
            negated: whether it is said to be absent.
            span: characters.
            beside: words before and behind the span that count too.

        Returns:
            Nothing for a code that the network does not know, and without words.
        """
        column = self.columns.get(label(code, negated))
        first, last = self._between(span)
        if column is None or not self.manners or first >= last:
            return {}
        asked = (column, max(0, first - beside), last + beside)
        told = self._told.get(asked)
        if told is None:
            self._told[asked] = told = self._told_of(*asked)
        return told

    def _told_of(self, column: int, first: int, last: int) -> dict[str, float]:
        import numpy as np

        said = -np.expm1(self.not_said[first:last, column])
        both = (1.0 - np.multiply.reduce(1.0 - said[:, None] * self.manner[first:last])).tolist()
        any_ = max(1.0 - float(np.multiply.reduce(1.0 - said)), 1e-9)
        return {name: both[at] / any_ for name, at in self.manners.items()}

    def knows(self, code: str, negated: bool) -> bool:
        """Whether the network was trained on this code."""
        return label(code, negated) in self.columns

    def chance_of_none(self, codes: Iterable[str], negated: bool, span: Span) -> float:
        """The chance, 0 to 1, that none of some codes is said within a span of the text."""
        none = 1.0
        for code in codes:
            none *= 1.0 - self.chance(code, negated, span)
        return none

    def chance(
        self, code: str, negated: bool, span: tuple[int, int] | None = None, beside: int = BESIDE
    ) -> float:
        """The chance, 0 to 1, that a code is said within a span of the text.

        Args:
            code: an id of the vocabulary.
            negated: whether it is said to be absent.
            span: characters; None for the whole note.
            beside: words before and behind the span that count too.

        Returns:
            0 for a code that the network does not know.
        """
        column = self.columns.get(label(code, negated))
        if column is None or not self.words:
            return 0.0
        asked = (span, beside)
        sums = self._sums.get(asked)
        if sums is None:
            self._sums[asked] = sums = self._sum(span, beside)
        return 0.0 - expm1(sums.item(column))

    def _sum(self, span: Span | None, beside: int) -> Any:
        """The log of the chance that each code is said nowhere in a span and beside it."""
        import numpy as np

        if span is None:
            return self.whole
        first, last = self._between(span)
        if first < last:
            first, last = max(0, first - beside), last + beside
        return np.add.reduce(self.not_said[first:last])

    def at_feet(
        self, code: str, negated: bool, part: tuple[int, int], least: float
    ) -> dict[str, tuple[int, int]]:
        """The feet of which a code is said somewhere in a part of the text, and the words of each.

        Args:
            code: an id of the vocabulary.
            negated: whether it is said to be absent.
            part: characters.
            least: the chance from which a foot counts.
        """
        import numpy as np

        column = self.columns.get(label(code, negated))
        feet = [foot for foot in FEET_TOLD if foot in self.manners]
        first, last = self._between(part)
        if column is None or not feet or first >= last:
            return {}
        said = -np.expm1(self.not_said[first:last, column])
        if said.max() < ALSO_SAYS:
            return {}
        both = said[:, None] * self.manner[first:last, [self.manners[foot] for foot in feet]]
        chances = 1.0 - np.multiply.reduce(1.0 - both)
        out = {}
        for foot, chance, at in zip(feet, chances, both.T, strict=True):
            if chance >= least:
                low, high = _stretch(at > ALSO_SAYS, int(at.argmax()))
                span = (self.words[first + low][1], self.words[first + high][2])
                out[foot.removeprefix("@")] = span
        return out

    def heard(self, span: tuple[int, int], least: float) -> list[str]:
        """The network's names said within a span with at least some chance, likeliest first."""
        import numpy as np

        first, last = self._between(span)
        chances = -np.expm1(self.not_said[first:last].sum(0))
        likely = self._names_at(chances >= least)
        return sorted(likely, key=lambda name: -float(chances[self.columns[name]]))

    def sayings(self, part: tuple[int, int], least: float) -> list[tuple[str, tuple[int, int]]]:
        """What is said within a part of the text, and the characters that say it most.

        Args:
            part: characters.
            least: the chance from which it counts.
        """
        import numpy as np

        first, last = self._between(part)
        if first >= last:
            return []
        own = self.not_said[first:last]
        chances = -np.expm1(own.sum(0))
        out = []
        for name in self._names_at(chances >= least):
            at = self.columns[name]
            word = int(own[:, at].argmin())
            low, high = _stretch(own[:, at] < MAY_SAY, word)
            if own[word, at] < MAY_SAY:
                out.append((name, (self.words[first + low][1], self.words[first + high][2])))
        return out

    def _between(self, span: tuple[int, int]) -> tuple[int, int]:
        """The first word of a span and the one behind its last."""
        begins, ends = self._edges
        return bisect_right(ends, span[0]), bisect_left(begins, span[1])

    def _names_at(self, wanted: Any) -> list[str]:
        """The network's names of some columns."""
        names, columns = self._named
        return [names[i] for i in wanted[columns].nonzero()[0]]

    @cached_property
    def _edges(self) -> tuple[list[int], list[int]]:
        """The first character of each word, and the one behind its last."""
        return [word[1] for word in self.words], [word[2] for word in self.words]

    @cached_property
    def _named(self) -> tuple[list[str], Any]:
        """The names and their columns."""
        import numpy as np

        return list(self.columns), np.array(list(self.columns.values()), dtype=int)

    @cached_property
    def _sums(self) -> dict[tuple[Span | None, int], Any]:
        """``_sum`` by what it was asked for: ``chance`` wants many codes at the same words."""
        return {}

    @cached_property
    def _told(self) -> dict[tuple[int, int, int], dict[str, float]]:
        """What ``told`` found, by column and words: it is asked for again and again."""
        return {}

    @cached_property
    def whole(self) -> Any:
        """The log of the chance that a code is said nowhere in the note."""
        return self.not_said.sum(0)


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

    def read(self, text: str, hidden: Sequence[Span] = ()) -> Opinion:
        """The opinion on a note.

        Args:
            text: the note.
            hidden: characters of words that mean something else than they say, as a horse named
                Copper; they are read as words that nobody heard.
        """
        import numpy as np

        words = tuple(words_of(text))
        if not words:
            return Opinion((), np.zeros((0, len(self._columns))), self._columns)
        seen = [
            HIDDEN if any(a < last and first < b for a, b in hidden) else word
            for word, first, last in words
        ]
        parts = []
        for first, last in windows(len(words)):
            begin, end = max(0, first - EDGE), min(len(words), last + EDGE)
            parts.append((seen[begin:end], first - begin, last - begin))
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


def _stretch(says: Any, at: int) -> tuple[int, int]:
    """The first and last word of the run around one in which every other word may say it too."""
    low = high = at
    while low > 0 and says[low - 1]:
        low -= 1
    while high + 1 < len(says) and says[high + 1]:
        high += 1
    return low, high


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
def opinion(text: str, hidden: tuple[Span, ...] = ()) -> Opinion | None:
    """What the shipped network says about a note (see ``Network.read``); None without one."""
    ready = network()
    return ready.read(text, hidden) if ready is not None else None
