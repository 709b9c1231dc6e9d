"""File formats and graph expansion, on small graphs worked out by hand.

The constant-FST head is checked field by field against OpenFst's documented layout (magic number,
type, arc type, version, flags, properties, start, states, arcs); libvosk itself is the reference
reader in ``test_shipped_model.py``.
"""

from __future__ import annotations

import math
import struct
from pathlib import Path

import numpy as np
import pytest

from fieldlog.speech.fst import ARC, STATE, write_const_fst
from fieldlog.speech.kaldi import Topology
from fieldlog.speech.packed import read_graph, write_graph
from fieldlog.speech.phone_graph import PhoneGraph, expand_phones
from fieldlog.speech.slots import Spelling, fill

TOPOLOGY = Topology(outputs=[1, 2])


def graph() -> PhoneGraph:
    """0 -(phone 2, word 7)-> 1 -(phone 1)-> 2, state 2 final."""
    return PhoneGraph(
        source=np.array([0, 1]),
        phone=np.array([2, 1]),
        word=np.array([7, 0]),
        cost=np.array([0.5, 0.25]),
        target=np.array([1, 2]),
        finals=np.array([math.inf, math.inf, 0.0]),
    )


def test_transition_ids_follow_kaldi_order() -> None:
    assert [TOPOLOGY.transition(1, 0, i) for i in (0, 1)] == [1, 2]
    assert [TOPOLOGY.transition(2, 0, i) for i in (0, 1, 2)] == [3, 4, 5]
    assert [TOPOLOGY.transition(2, 1, i) for i in (0, 1)] == [6, 7]
    assert TOPOLOGY.transition(3, 0, 0) == 8


def test_a_phone_becomes_three_states_and_silence_one() -> None:
    source, arcs, finals = expand_phones(graph(), TOPOLOGY)
    assert len(finals) == 3 + 3 + 1
    into = arcs[(source == 0)]
    assert sorted(into["in"].tolist()) == [4, 5]
    assert into["out"].tolist() == [7, 7]
    # 0.5 from the graph and -log 0.3 for either way out of the phone's own state.
    assert into["cost"] == pytest.approx(0.5 - math.log(0.3), abs=1e-6)


def test_every_path_reads_the_phone_then_silence() -> None:
    source, arcs, finals = expand_phones(graph(), TOPOLOGY)
    reached: set[tuple[int, ...]] = set()
    stack: list[tuple[int, tuple[int, ...]]] = [(0, ())]
    while stack:
        state, read = stack.pop()
        if math.isfinite(finals[state]):
            reached.add(read)
        for arc in arcs[source == state]:
            if int(arc["to"]) != state:
                stack.append((int(arc["to"]), (*read, int(arc["in"])) if arc["in"] else read))
    assert reached == {(5, 2), (4, 7, 2)}


def test_the_const_fst_head(tmp_path: Path) -> None:
    source, arcs, finals = expand_phones(graph(), TOPOLOGY)
    path = tmp_path / "g.fst"
    write_const_fst(path, source, arcs, finals, 0)
    data = path.read_bytes()
    assert struct.unpack_from("<i", data)[0] == 2125659606
    assert data[4:13] == struct.pack("<i", 5) + b"const"
    assert data[13:25] == struct.pack("<i", 8) + b"standard"
    version, flags, _, start, states, count = struct.unpack_from("<iiQqqq", data, 25)
    assert (version, flags, start, states, count) == (2, 0, 0, len(finals), len(arcs))
    assert len(data) == 25 + 40 + states * STATE.itemsize + count * ARC.itemsize


def test_packing_keeps_a_graph(tmp_path: Path) -> None:
    path = tmp_path / "g.bin"
    write_graph(path, graph())
    back = read_graph(path)
    for name in ("source", "phone", "word", "target"):
        assert getattr(back, name).tolist() == getattr(graph(), name).tolist()
    assert back.cost == pytest.approx(graph().cost, abs=0.005)
    assert np.isinf(back.finals[:2]).all()


@pytest.mark.parametrize("cut", [10, 60, 200])
def test_a_cut_graph_is_refused(tmp_path: Path, cut: int) -> None:
    path = tmp_path / "g.bin"
    write_graph(path, graph())
    path.write_bytes(path.read_bytes()[: min(cut, path.stat().st_size - 8)])
    with pytest.raises(ValueError, match=r"g\.bin"):
        read_graph(path)


def test_unsorted_arcs_cannot_be_packed(tmp_path: Path) -> None:
    g = graph()
    wrong = PhoneGraph(g.source[::-1], g.phone, g.word, g.cost, g.target, g.finals)
    with pytest.raises(ValueError, match="sorted"):
        write_graph(tmp_path / "g.bin", wrong)


def test_the_name_slot_holds_a_name_of_two_words() -> None:
    slotted = PhoneGraph(
        source=np.array([0, 0]),
        phone=np.array([2, 9]),
        word=np.array([7, 8]),
        cost=np.array([0.5, 1.0]),
        target=np.array([1, 1]),
        finals=np.array([math.inf, 0.0]),
    )
    filled = fill(slotted, 9, [Spelling((20, 21), ((2, 3), (3,)), 0.7)])
    assert 9 not in filled.phone
    rows = zip(
        filled.source.tolist(),
        filled.phone.tolist(),
        filled.word.tolist(),
        filled.target.tolist(),
        strict=True,
    )
    assert list(rows) == [(0, 2, 7, 1), (0, 0, 0, 2), (2, 2, 20, 3), (3, 3, 0, 4), (4, 3, 21, 1)]
    assert filled.cost.tolist() == [0.5, 1.0, 0.7, 0.0, 0.0]


def test_without_names_the_slot_is_closed() -> None:
    one = np.array([0])
    slotted = PhoneGraph(one, np.array([9]), np.array([8]), np.array([1.0]), one, np.array([0.0]))
    assert len(fill(slotted, 9, []).source) == 0
