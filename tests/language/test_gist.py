"""The second opinion: what the trained network says, and what becomes of it."""

from __future__ import annotations

import math
from datetime import datetime

import numpy as np
import pytest

from fieldlog.core.words import Transcript
from fieldlog.language import confidence, gist, pipeline
from fieldlog.language.gist import Opinion, label, words_of
from fieldlog.language.pipeline import load

RECORDED = datetime(2026, 11, 25, 9, 0)


def said(text: str, **chances: dict[str, float]) -> Opinion:
    """An opinion by hand: chances by code and word, nothing said elsewhere."""
    words = tuple(words_of(text))
    columns = {code: at for at, code in enumerate(chances)}
    logs = np.zeros((len(words), len(columns)))
    for code, by_word in chances.items():
        for at, (word, _, _) in enumerate(words):
            logs[at, columns[code]] = math.log1p(-by_word.get(word, 0.0))
    return Opinion(words, logs, columns)


@pytest.fixture
def opined(monkeypatch: pytest.MonkeyPatch):  # type: ignore[no-untyped-def]
    """Set the opinion that is asked for."""

    def give(held: Opinion | None) -> None:
        monkeypatch.setattr(confidence, "opinion", lambda _: held)
        monkeypatch.setattr(pipeline, "opinion", lambda _: held)

    return give


def test_names_of_the_network() -> None:
    assert label("thrush", False) == "thrush"
    assert label("thrush", True) == "not:thrush"
    assert label("sound", False) == "not:lameness"
    assert label("sound", True) == "lameness"


def test_a_longer_stretch_says_at_least_as_much() -> None:
    text = "black porridge in the middle of that frog"
    held = said(text, thrush={"black": 0.3, "porridge": 0.6, "frog": 0.2})
    whole = held.chance("thrush", False)
    assert whole == pytest.approx(1 - 0.7 * 0.4 * 0.8)
    assert held.chance("thrush", False, (0, 5), beside=0) == pytest.approx(0.3)
    assert held.chance("thrush", False, (0, 14), beside=0) == pytest.approx(1 - 0.7 * 0.4)
    assert held.chance("thrush", True) == 0.0
    assert held.chance("thrush", False, (900, 910)) == 0.0


def test_the_convolution_is_the_sum_over_five_neighbours() -> None:
    dice = np.random.default_rng(1)
    x, w, b = dice.normal(size=(7, 3)), dice.normal(size=(5, 3, 2)), dice.normal(size=2)
    got = gist._convolved(x, w, b)
    for at in range(7):
        want = b.copy()
        for k in range(5):
            if 0 <= at + k - 2 < 7:
                want = want + x[at + k - 2] @ w[k]
        assert got[at] == pytest.approx(want)


def test_words_that_no_rule_took_become_a_marked_candidate(opined) -> None:  # type: ignore[no-untyped-def]
    text = "Left front, wibbly wobbly jelly there. Trimmed all four."
    opined(said(text, thrush={"wibbly": 0.8, "wobbly": 0.8, "jelly": 0.8}))
    facts = load().understand(Transcript.typed(text), recorded=RECORDED)[0].facts
    new = next(f for f in facts if f.code == "thrush")
    assert [f.value for f in new.feet] == ["LF"]
    assert new.rule == "gist:thrush"
    assert "model_candidate" in {d.code for d in new.doubts}
    assert "trim" in {f.code for f in facts}


def test_a_rule_is_never_overridden(opined) -> None:  # type: ignore[no-untyped-def]
    text = "Left front, bit of thrush in the frog."
    opined(None)
    without = load().understand(Transcript.typed(text), recorded=RECORDED)[0].facts
    opined(said(text, bruise={"bit": 0.9, "thrush": 0.99, "frog": 0.9}, thrush={}))
    facts = load().understand(Transcript.typed(text), recorded=RECORDED)[0].facts
    assert [f.code for f in facts] == [f.code for f in without] == ["thrush"]
    assert "second_opinion" in {d.code for d in facts[0].doubts}
    assert "second_opinion" not in {d.code for d in without[0].doubts}


def test_nothing_is_proposed_twice(opined) -> None:  # type: ignore[no-untyped-def]
    text = "Left front, thrush, really goopy stuff."
    opined(said(text, thrush={"thrush": 0.9, "goopy": 0.95, "stuff": 0.9}))
    facts = load().understand(Transcript.typed(text), recorded=RECORDED)[0].facts
    assert [f.code for f in facts] == ["thrush"]


def test_the_shipped_network() -> None:
    held = gist.opinion(
        "left hind the frog is all black and gooey down the middle and it stinks of rot"
    )
    assert held is not None
    assert len(held.columns) > 200
    assert held.chance("thrush", False) > 0.5
    assert held.chance("next_trim", False) < 0.1
    nothing = gist.opinion("the owner is on holiday and the dog chewed my apron")
    assert nothing is not None
    assert max(nothing.chance(c, False) for c in ("thrush", "abscess", "trim", "reset")) < 0.2
    assert gist.opinion("") is not None
