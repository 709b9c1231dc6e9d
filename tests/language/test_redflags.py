"""The call for a veterinarian that a red flag makes."""

from __future__ import annotations

from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.feet import Foot
from fieldlog.language.redflags import with_red_flags

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
