"""The second opinion's stored network, computed once more without ONNX Runtime.

The reference is the transformer as it is published (attention and layers: Vaswani et al. 2017; the
order of the norms and the tanh form of GELU: Devlin et al. 2019, Hendrycks and Gimpel 2016), in
numpy, from the weights that the package onnx reads out of the file.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner

from fieldlog.cli.main import cli
from fieldlog.errors import OpinionDamaged
from fieldlog.language.opinion import gist
from fieldlog.language.opinion.word_pieces import Pieces

onnx = pytest.importorskip("onnx")
FOLDER = Path(__file__).parents[2] / "models" / gist.MODEL
HEADS, STEPS = 12, 63
NOTES = (
    "Left front, bit of thrush in the cleft, and she has pulled the outside quarter again.",
    "Right hind three and a quarter, no heat, no pulse. Owner says she was lame last week.",
    "trimmed all four he was good as gold back in six weeks",
    "Off fore, old abscess track growing out at the toe, an inch off the ground.",
)
Linear = Callable[[Any, str], Any]


@pytest.fixture(scope="module")
def kept() -> dict[str, Any]:
    model = onnx.load(str(FOLDER / gist.NETWORK))
    onnx.checker.check_model(model)
    return {one.name: onnx.numpy_helper.to_array(one) for one in model.graph.initializer}


@pytest.fixture(scope="module")
def rows() -> list[tuple[list[int], list[int]]]:
    """The word pieces of the notes, and where each word begins."""
    pieces = Pieces((FOLDER / "pieces.txt").read_text(encoding="utf-8").split("\n"))
    return [pieces.row([word for word, _, _ in gist.words_of(note)]) for note in NOTES]


def in_floats(kept: dict[str, Any]) -> Linear:
    """Matrix products in double precision."""

    def linear(x: Any, name: str) -> Any:
        return x @ (kept[name] * kept[f"{name}.scale"].astype(float)) + kept[f"{name}.bias"]

    return linear


def in_bytes(kept: dict[str, Any]) -> Linear:
    """Matrix products of whole numbers: each row shared out in ``STEPS`` steps of its largest."""

    def linear(x: Any, name: str) -> Any:
        largest = np.abs(x).max(1, keepdims=True)
        small = np.rint(x / largest * STEPS)
        product = small @ kept[name].astype(float)
        return product * kept[f"{name}.scale"] * largest / STEPS + kept[f"{name}.bias"]

    return linear


def normed(x: Any, kept: dict[str, Any], name: str) -> Any:
    x = (x - x.mean(1, keepdims=True)) / x.std(1, keepdims=True)
    return x * kept[f"{name}.gain"] + kept[f"{name}.shift"]


def gelu(x: Any) -> Any:
    return x * 0.5 * (1 + np.tanh(math.sqrt(2 / math.pi) * (x + 0.044715 * x**3)))


def attended(asked: Any) -> Any:
    query, key, value = np.split(asked, 3, axis=1)
    out = []
    for q, k, v in zip(*(np.split(part, HEADS, axis=1) for part in (query, key, value)),
                       strict=True):  # fmt: skip
        fit = q @ k.T / math.sqrt(q.shape[1])
        weights = np.exp(fit - fit.max(1, keepdims=True))
        out.append(weights / weights.sum(1, keepdims=True) @ v)
    return np.concatenate(out, axis=1)


def computed(kept: dict[str, Any], linear: Linear, pieces: list[int], wanted: list[int]) -> Any:
    """What the network says, by the book."""
    table = kept["table"][pieces] * kept["table.scale"][pieces].astype(float)
    x = normed(linear(table, "widen") + kept["place"][: len(pieces)], kept, "norm")
    for n in range(sum(re.fullmatch(r"\d+\.ask", name) is not None for name in kept)):
        x = normed(x + linear(attended(linear(x, f"{n}.ask")), f"{n}.mix"), kept, f"{n}.norm")
        x = normed(x + linear(gelu(linear(x, f"{n}.inner")), f"{n}.outer"), kept, f"{n}.end")
    return linear(x, "last")[wanted]


def chances(says: Any) -> Any:
    return 1 / (1 + np.exp(-says))


def says(pieces: list[int], wanted: list[int]) -> Any:
    session = gist._session(FOLDER / gist.NETWORK)
    given = {"pieces": np.array(pieces, np.int64), "wanted": np.array(wanted, np.int64)}
    return session.run(["says"], given)[0]


def test_the_stored_network_is_the_published_one(
    kept: dict[str, Any], rows: list[tuple[list[int], list[int]]]
) -> None:
    """What bytes cost, beside floats: a hundredth or two of a chance where there is any."""
    for row in rows:
        got, want = chances(says(*row)), chances(computed(kept, in_floats(kept), *row))
        heard = (got > 0.05) | (want > 0.05)
        assert heard.sum() > 20
        assert np.abs(got - want)[heard].mean() < 0.04
        assert np.abs(got - want).mean() < 0.002


def test_bytes_are_multiplied_as_the_file_says(
    kept: dict[str, Any], rows: list[tuple[list[int], list[int]]]
) -> None:
    """Rounding half a step the other way now and then is all that may differ: of all rows
    together, for in a short one bytes may happen to cost as little."""
    apart, cost = 0.0, 0.0
    for row in rows:
        got = chances(says(*row))
        apart += np.abs(got - chances(computed(kept, in_bytes(kept), *row))).mean()
        cost += np.abs(got - chances(computed(kept, in_floats(kept), *row))).mean()
    assert apart < 0.5 * cost


def test_no_processor_can_overflow(kept: dict[str, Any]) -> None:
    """Two products of bytes are added in 16 bits where a processor has nothing newer (Intel's
    manual of instructions, VPMADDUBSW)."""
    assert int(kept["zero"]) == STEPS + 1
    assert kept["step"] == pytest.approx(1 / STEPS)
    largest = STEPS + int(kept["zero"])
    for name in kept:
        if re.fullmatch(r"widen|last|\d+\.(ask|mix|inner|outer)", name):
            assert 2 * largest * int(np.abs(kept[name].astype(int)).max()) < 2**15


def test_a_damaged_network_is_told(tmp_path: Path) -> None:
    (tmp_path / gist.NETWORK).write_bytes(b"no network")
    for name in ("pieces.txt", "codes.txt"):
        (tmp_path / name).write_bytes((FOLDER / name).read_bytes())
    with pytest.raises(OpinionDamaged, match=r"damaged.*\n?.*[Ii]nstall fieldlog again"):
        gist.Network(tmp_path)


def test_doctor_looks_at_the_second_opinion(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def doctor() -> str:
        return CliRunner().invoke(cli, ["--home", str(tmp_path), "doctor", "--json"]).output

    assert "second opinion on" in doctor()
    monkeypatch.setattr(gist, "network", lambda: None)
    assert "rules alone understand notes" in doctor()
