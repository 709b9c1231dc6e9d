"""How well one farrier is understood moves the chance of the next facts."""

from __future__ import annotations

import math

import numpy as np
import pytest

from fieldlog.core.facts import Doubt, Fact, FactKind
from fieldlog.language import experience
from fieldlog.language.experience import Experience, Looked, asked_of, learnt

FINDING, WORK = FactKind.FINDING, FactKind.WORK


def looks(kind: FactKind, chance: float, stood: int, fell: int) -> list[Looked]:
    return [Looked(kind, chance, True)] * stood + [Looked(kind, chance, False)] * fell


def test_nothing_looked_at_changes_nothing() -> None:
    none = learnt(())
    assert none == Experience()
    assert none.chance(Fact(FINDING, "thrush", confidence=0.613)) == 0.613


def test_one_who_is_understood_better_than_strangers_is_asked_less() -> None:
    known = learnt(tuple(looks(FINDING, 0.6, 57, 3)))
    fact = Fact(FINDING, "thrush", confidence=0.7)
    assert known.chance(fact) > 0.85
    assert asked_of(fact, 0.78, Experience()).needs_look
    assert not asked_of(fact, 0.78, known).needs_look


def test_one_who_is_understood_worse_is_asked_more() -> None:
    known = learnt(tuple(looks(FINDING, 0.6, 20, 40)))
    fact = Fact(FINDING, "thrush", confidence=0.85)
    assert not asked_of(fact, 0.78, Experience()).needs_look
    doubts = asked_of(fact, 0.78, known).doubts
    assert [d.code for d in doubts] == ["low_confidence"]


def test_a_doubt_with_a_reason_stays_however_well_one_is_understood() -> None:
    known = learnt(tuple(looks(FINDING, 0.5, 200, 0)))
    fact = Fact(FINDING, "thrush", confidence=0.9).with_doubt("word_confidence", "not clear")
    assert asked_of(fact, 0.78, known).doubts == (Doubt("word_confidence", "not clear"),)


def test_a_few_looks_move_little() -> None:
    one = learnt(tuple(looks(FINDING, 0.6, 1, 0)))
    many = learnt(tuple(looks(FINDING, 0.6, 100, 0)))
    assert 0 < one.shift < 0.12 < many.shift


def test_kinds_differ_but_share_what_is_common() -> None:
    known = learnt(tuple(looks(FINDING, 0.6, 60, 0) + looks(WORK, 0.6, 24, 36)))
    assert known.by_kind[FINDING] > 0 > known.by_kind[WORK]
    finding = known.chance(Fact(FINDING, "thrush", confidence=0.6))
    work = known.chance(Fact(WORK, "trim", confidence=0.6))
    never_seen = known.chance(Fact(FactKind.ADVICE, "spoke_to", confidence=0.6))
    assert work < never_seen < finding


def test_only_the_newest_count() -> None:
    new, old = looks(FINDING, 0.5, experience.NEWEST, 0), looks(FINDING, 0.5, 0, 300)
    assert learnt(tuple(new + old)) == learnt(tuple(new))


def test_the_sums_that_the_settings_tell() -> None:
    known = learnt(tuple(looks(FINDING, 0.25, 3, 1)))
    assert (known.looked, known.stood, known.expected) == (4, 3, 1.0)


@pytest.mark.parametrize("seed", range(5))
def test_it_finds_the_mode_of_the_posterior(seed: int) -> None:
    """Ascent by the gradient over all numbers at once, in numpy, ends at the same place."""
    dice = np.random.default_rng(seed)
    kinds = list(FactKind)[:3]
    rows = [
        Looked(kinds[dice.integers(3)], float(dice.uniform(0.05, 0.98)), bool(dice.random() < 0.7))
        for _ in range(80)
    ]
    found = learnt(tuple(rows))
    columns = np.array([[1.0, *(float(r.kind is k) for k in kinds)] for r in rows])
    odds = np.array([math.log(r.chance / (1 - r.chance)) for r in rows])
    stood = np.array([float(r.stood) for r in rows])
    widths = np.array([experience.WIDTH, *[experience.WIDTH_OF_KIND] * 3])
    at = np.zeros(4)
    for _ in range(20000):
        chance = 1 / (1 + np.exp(-(odds + columns @ at)))
        at += 0.005 * (columns.T @ (stood - chance) - at / widths**2)
    ours = [found.shift, *(found.by_kind[k] for k in kinds)]
    assert ours == pytest.approx(at, abs=2e-3)
