"""The chance that a fact is right: products of its features, and how they are weighed."""

from __future__ import annotations

import math

import pytest

from fieldlog.language import confidence
from fieldlog.language.lexicon import read_data


def test_flags_are_multiplied_with_each_other_and_numbers_with_flags() -> None:
    values = {"one": 1.0, "kind:finding": 1.0, "negated": 1.0, "gist": -0.5, "thin": 0.2}
    assert confidence.crossed(values) == {
        **values,
        "kind:finding*negated": 1.0,
        "gist*gist": 0.25,
        "gist*kind:finding": -0.5,
        "gist*negated": -0.5,
        "thin*thin": pytest.approx(0.04),
    }


def test_what_is_nought_makes_no_product() -> None:
    values = {"kind:work": 1.0, "crowd": 0.0}
    assert confidence.crossed(values) == values


def test_the_chance_is_the_logistic_sum_over_products(monkeypatch: pytest.MonkeyPatch) -> None:
    weights = {"one": 0.5, "gist": 2.0, "gist*gist": -1.0, "gist*negated": 3.0, "unheard-of": 9.0}
    monkeypatch.setattr(confidence, "read_data", lambda _: {"weight": weights})
    got = confidence.chance({"one": 1.0, "gist": 0.5, "negated": 1.0})
    assert got == pytest.approx(1 / (1 + math.exp(-(0.5 + 1.0 - 0.25 + 1.5))))


def test_every_weight_is_of_a_feature_that_can_be_made() -> None:
    """A name in the data that no feature bears would be a slip of the fit."""
    single = {n for n in read_data("confidence")["weight"] if "*" not in n}
    for name in read_data("confidence")["weight"]:
        for part in name.split("*"):
            known = part in single or part in confidence.FLAGS or part in confidence.NUMBERS
            assert known or part.startswith(("kind:", "basis:")), name
