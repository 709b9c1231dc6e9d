"""Hill talk: double negatives, plain past forms, and how such talkers name common things."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Entry

Entries = Callable[[str], list[Entry]]


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("Right fore, she won't put no weight down on it.", "not_weight_bearing"),
        ("Left fore, the pulse in it's pounding.", "bounding_pulse"),
        ("Doc give him a shot, so he was half asleep.", "sedated_by_vet"),
        ("She went up on her hind legs with me.", "reared"),
        ("I had a job getting the off hind up.", "hard_to_pick_up"),
        ("He caught me one on the shin.", "kicked"),
        ("He's easier to get under than he was.", "improving_manners"),
        ("Right hind, the clinches done raised.", "clench_risen"),
        ("Left hind, the plate's got a wobble to it.", "shoe_loose"),
        ("Right fore, a split running down from the coronet.", "sand_crack"),
        ("I want two hands here next time.", "second_handler"),
        ("I lectured at her about the grain.", "spoke_to"),
    ],
)
def test_common_things_in_plain_talk(entries: Entries, text: str, code: str) -> None:
    assert code in [f.code for e in entries(text) for f in e.facts if not f.negated]


def test_a_rasp_never_put_to_a_horse_is_a_trim_not_done(entries: Entries) -> None:
    facts = entries("All four feet hot. I never put a rasp to him.")[0].facts
    assert [f.negated for f in facts if f.code == "trim"] == [True]


def test_it_is_not_one_takes_back_what_it_looked_like(entries: Entries) -> None:
    facts = entries("Took it for a corn on the right front, but it wasn't one.")[0].facts
    assert [f.negated for f in facts if f.code == "corn"] == [True]


@pytest.mark.parametrize("text", ["He lives beside the corn crib.", "A nice stud colt."])
def test_words_that_are_no_findings(entries: Entries, text: str) -> None:
    assert not [f for e in entries(text) for f in e.facts if f.code in ("corn", "studs")]
