"""The call for a veterinarian that a red flag makes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.feet import Foot
from fieldlog.language.entries.redflags import with_red_flags

NAIL = Fact(FactKind.FINDING, "penetrating_object", (Foot.LH,))


def test_a_call_for_what_may_be_misheard_is_asked_about() -> None:
    """“Vet came and pulled the nail”: what only the network heard made a call nobody looked at."""
    unsure = NAIL.with_doubt("model_candidate", "No rule tells this.")
    (call, *_), codes = with_red_flags([unsure])
    assert (call.code, call.urgent, codes) == ("vet_visit", True, ("penetrating_object",))
    assert call.doubts == unsure.doubts


def test_a_call_for_what_is_sure_asks_for_no_look() -> None:
    unsure = NAIL.with_doubt("model_candidate", "No rule tells this.")
    (call, *_), _ = with_red_flags([unsure, Fact(FactKind.FINDING, "laminitis", (Foot.LF,))])
    assert call.doubts == ()
    assert with_red_flags([Fact(FactKind.FINDING, "flare", (Foot.LF,))])[1] == ()


@pytest.mark.parametrize(
    "text",
    [
        "Left hind, the vet came and pulled the nail, said it missed the joint.",
        "the vet was here sunday and took the screw out of the left hind",
        "Dr Penn removed the nail yesterday, left hind.",
    ],
)
def test_what_a_vet_has_taken_out_calls_nobody(text: str) -> None:
    told = replace(NAIL, span=(0, len(text)))
    assert with_red_flags([told], text) == ((told,), ())


@pytest.mark.parametrize(
    "text",
    [
        "Nail in the left hind, the vet will pull the nail at noon.",
        "Nail in the left hind. I pulled the nail.",
        "Nail in the left hind, the vet hasn't pulled it.",
        "Nail in the left hind, left it till the vet comes, never pulled it.",
    ],
)
def test_what_is_still_there_or_a_farrier_pulled_calls_a_vet(text: str) -> None:
    told = replace(NAIL, span=(0, len(text)))
    assert with_red_flags([told], text)[1] == ("penetrating_object",)
