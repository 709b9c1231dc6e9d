"""The second look at what was heard: a recurrent language model weighs the recogniser's candidates.

libvosk reads two folders for it. ``rescore`` is meant to exchange the language model of the graph
for a larger one; ours takes half of how likely a word usually is and gives it back, for the sake of
the search (``_write_usual``). ``rnnlm`` holds a recurrent network, half of whose score is added. So
what counts is the graph's trigram and the network.

libvosk follows the candidates only as far as three nats behind the best, a number that cannot be
set. So everything that a candidate costs is made smaller beforehand (``scale`` in ``model.json``:
the graph, the sound, the beams and what the network adds), and three nats reach further.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from fieldlog.speech.fst import ARC, write_loop_fst
from fieldlog.speech.kaldi import Component, kaldi_file, write_raw_network
from fieldlog.speech.packed import in_bytes

Array = NDArray[np.float32]
NAME = "<name>"
"""The class of names among the words of the table."""


@dataclass(frozen=True)
class Added:
    """What the second look adds to a candidate's score."""

    weight: float
    """Of the network's log chance of it, in halves."""
    each: float
    """To every word, in nats."""


def pack_recurrent(path: Path, words: Sequence[str], weights: Mapping[str, Array]) -> None:
    """Write the network: matrices as bytes with a scale per row, vectors as half floats."""
    arrays: dict[str, Any] = {"words": np.frombuffer(" ".join(words).encode(), "u1")}
    for name, values in weights.items():
        if values.ndim == 2:
            arrays[name], arrays[f"{name}.scale"] = in_bytes(values)
        else:
            arrays[name] = values.astype(np.float16)
    path.parent.mkdir(parents=True, exist_ok=True)
    np.savez_compressed(path, **arrays)


def read_recurrent(path: Path) -> tuple[list[str], dict[str, Array]]:
    """(words of the table, weights) as ``write_rescoring`` takes them.

    Raises:
        OSError, ValueError, KeyError: not there, or not such a file.
    """
    with np.load(io.BytesIO(path.read_bytes())) as arrays:
        data = {k: arrays[k] for k in arrays.files}
    words = data.pop("words").tobytes().decode().split(" ")
    scales = {k.removesuffix(".scale"): data.pop(k) for k in list(data) if k.endswith(".scale")}
    weights = {k: v.astype(np.float32) for k, v in data.items()}
    for name, scale in scales.items():
        weights[name] *= scale[:, None]
    return words, weights


def write_rescoring(
    folder: Path,
    numbers: Mapping[str, int],
    words: Sequence[str],
    weights: Mapping[str, Array],
    shares: Mapping[str, float],
    added: Added,
) -> None:
    """Write ``rescore`` and ``rnnlm`` into a model folder.

    Args:
        folder: the expanded model.
        numbers: the graph's words and their numbers, 0 to the last without a gap.
        words: the words of the network's table, among them ``<s>``, ``</s>`` and ``<name>``.
        weights: ``table`` (words, size), ``often`` (words), for each layer n from 0 ``in.n``
            (4 cells, inputs), ``again.n`` (4 cells, cells) and ``bias.n`` (4 cells), the gates in
            the order input, forget, cell, output; ``predict`` (size, cells), ``predict_bias``; and
            ``usual`` (words), the natural log of the chance that the network gives a word where it
            is said, on average.
        shares: names and the natural log of their share of the name class; a name of two words by
            its first one.
        added: how much of it counts.
    """
    begin, end = numbers["<s>"], numbers["</s>"]
    order = sorted(numbers, key=numbers.__getitem__)
    rows, less = _rows(order, words, weights["often"], shares)
    table = np.concatenate([weights["table"], weights["often"][:, None]], 1)[rows]
    usual = weights["usual"][rows] + less
    table[:, -1] += less
    free = np.isnan(less)
    table[free], usual[free] = 0.0, 0.0
    _write_usual(folder / "rescore", added.weight * usual, begin, end, added.each)
    lines, components = network_of(weights, added.weight)
    out = folder / "rnnlm"
    out.mkdir(parents=True)
    write_raw_network(out / "final.raw", lines, components)
    with kaldi_file(out / "feat_embedding.final.mat") as w:
        w.matrix(table)
    features = "".join(f"{i}\t{i} 1\n" for i in range(len(order)))
    (out / "word_feats.txt").write_text(features, encoding="ascii")
    special = f"--bos-symbol={begin}\n--eos-symbol={end}\n"
    (out / "special_symbol_opts.conf").write_text(special, encoding="ascii")


def _rows(
    order: Sequence[str], words: Sequence[str], often: Array, shares: Mapping[str, float]
) -> tuple[NDArray[np.int64], Array]:
    """(row of the table for each word of the graph, what is added to its log chance).

    A name stands where the class stands, less likely by its share of it, unless it is a word that
    is said more often than that. Another word that the table does not know goes on a name that the
    first word has paid for (or is no word: ``<eps>``): it costs nothing, told by not-a-number.
    """
    place = {w: i for i, w in enumerate(words)}
    name = place[NAME]
    rows, less = np.full(len(order), name), np.zeros(len(order), np.float32)
    for i, word in enumerate(order):
        at = place.get(word)
        share = shares.get(word)
        if share is not None and (at is None or often[at] < often[name] + share):
            less[i] = share
        elif at is not None:
            rows[i] = at
        else:
            less[i] = np.nan
    return rows, less


def network_of(weights: Mapping[str, Array], weight: float) -> tuple[list[str], list[Component]]:
    """nnet3 lines and components. The last input and output stand for how often a word is said."""
    size = weights["predict"].shape[0]
    lines = [f"input-node name=input dim={size + 1}"]
    parts: list[Component] = []
    before, wide = "input", size + 1
    for n in range(sum(k.startswith("again.") for k in weights)):
        cells = weights[f"again.{n}"].shape[1]
        inside = weights[f"in.{n}"]
        if wide > inside.shape[1]:
            inside = np.pad(inside, ((0, 0), (0, wide - inside.shape[1])))
        gates = np.concatenate([inside, weights[f"again.{n}"]], 1)
        parts.append(Component(f"gates{n}", "affine", 4 * cells, gates, weights[f"bias.{n}"]))
        parts.append(Component(f"cells{n}", "lstm", 2 * cells))
        lines += [
            f"component-node name=gates{n} component=gates{n}"
            f" input=Append({before}, IfDefined(Offset(said{n}, -1)))",
            f"component-node name=cells{n} component=cells{n}"
            f" input=Append(gates{n}, IfDefined(Offset(kept{n}, -1)))",
            f"dim-range-node name=kept{n} input-node=cells{n} dim={cells} dim-offset=0",
            f"dim-range-node name=said{n} input-node=cells{n} dim={cells} dim-offset={cells}",
        ]
        before, wide = f"said{n}", cells
    scale = np.float32(weight)
    matrix = np.concatenate([weights["predict"], np.zeros((1, wide), np.float32)])
    bias = np.append(weights["predict_bias"], np.float32(1.0))
    parts.append(Component("predict", "affine", size + 1, matrix * scale, bias * scale))
    lines += [
        f"component-node name=predict component=predict input={before}",
        "output-node name=output input=predict objective=linear",
    ]
    return lines, parts


def _write_usual(folder: Path, usual: Array, begin: int, end: int, each: float) -> None:
    """Two grammars that tell of every word how likely it usually is and together add ``each``.

    The one to take away and the one to put in its place leave half of that, so that what the
    network adds beyond it is nothing on average: libvosk looks for the best way through what it
    expects, and would throw away nearly all ways if each came out far worse than that.
    """
    folder.mkdir(parents=True)
    words = len(usual)
    arcs = np.zeros(words - 1, ARC)
    arcs["in"] = arcs["out"] = np.arange(1, words)
    arcs["cost"] = each - 0.5 * usual[1:]
    write_loop_fst(folder / "G.fst", arcs)
    # One order: a word is three numbers, its log chance and two that only longer orders need.
    states = np.zeros(words, [("chance", "<f4"), ("back_off", "<f4"), ("longer", "<i4")])
    states["chance"] = usual
    with kaldi_file(folder / "G.carpa") as w:
        w.token("<ConstArpaLm>", "<LmInfo>")
        w.integer(begin, end, -1, 1)
        w.token("</LmInfo>", "<LmStates>")
        w.long(3 * words)
        w.out.write(states.tobytes())
        w.token("</LmStates>", "<LmUnigram>")
        w.integer(words)
        w.out.write((1 + 3 * np.arange(words, dtype="<i8")).tobytes())
        w.token("</LmUnigram>", "<LmOverflow>")
        w.integer(0)
        w.token("</LmOverflow>", "</ConstArpaLm>")
