"""What the network surely hears and no fact tells, also over the rules' words."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, SpokenCorrection
from fieldlog.core.feet import Foot
from fieldlog.core.words import Transcript
from fieldlog.language.opinion.heard import Opinion
from fieldlog.language.opinion.heard_alone import heard_alone
from fieldlog.language.personal import PersonalRules
from fieldlog.language.pipeline import load
from tests.language.hearing import SURELY, hears

TEXT = "A bit of thrush on the left, none on the right."


def no_time(_: str) -> Due | None:
    return None


def found(
    code: str, *feet: Foot, negated: bool = False, span: tuple[int, int], **more: Any
) -> Fact:
    return Fact(
        FactKind.FINDING, code, feet, FootBasis.SAID, negated=negated, span=span,
        rule=f"lexicon:{code}", **more,
    )  # fmt: skip


def alone(text: str, facts: list[Fact], opinion: Opinion, **more: Any) -> list[Fact]:
    return heard_alone(facts, opinion, text, (0, len(text)), no_time, **more)


def at(text: str, words: str) -> tuple[int, int]:
    return text.index(words), text.index(words) + len(words)


def test_what_is_certain_is_told_beside_its_own_denial_and_of_its_own_foot() -> None:
    denied = found("thrush", Foot.RF, negated=True, span=at(TEXT, "none on the right"))
    opinion = hears(TEXT, ("thrush", "thrush", {"LF": 0.9}), ("not:thrush", "none", {"RF": 0.9}))
    (new,) = alone(TEXT, [denied], opinion)
    assert (new.code, new.negated, new.feet) == ("thrush", False, (Foot.LF,))
    assert new.foot_basis is FootBasis.HEARD
    assert [d.code for d in new.doubts] == ["model_candidate"]
    assert TEXT[slice(*new.span)] == "thrush"


def test_what_is_only_sure_leaves_the_rules_word() -> None:
    denied = found("thrush", Foot.RF, negated=True, span=at(TEXT, "none on the right"))
    opinion = hears(TEXT, ("thrush", "thrush", {"LF": 0.9}), how=SURELY)
    assert alone(TEXT, [denied], opinion) == []


def test_without_a_foot_that_is_heard_it_takes_its_hosts() -> None:
    text = "Left hind, heel crack, smells a bit."
    crack = found("heel_crack", Foot.LH, span=at(text, "heel crack"))
    (new,) = alone(text, [crack], hears(text, ("bad_smell", "smells", {"LH": 0.1, "RH": 0.1})))
    assert (new.feet, new.foot_basis) == ((Foot.LH,), FootBasis.SAID)


def test_what_a_rule_refused_or_was_taken_back_needs_certainty() -> None:
    text = "Off fore, shoe off to be sure."
    host = found("heat", Foot.RF, negated=True, span=at(text, "Off fore"))
    refused = [("pull", at(text, "shoe off"))]
    heard = ("pull", "shoe", {"RF": 0.2})
    assert alone(text, [host], hears(text, heard, how=SURELY), refused=refused) == []
    (new,) = alone(text, [host], hears(text, heard), refused=refused)
    assert new.code == "pull"
    back = [SpokenCorrection(at(text, "to be sure"), "scratch")]
    assert alone(text, [host], hears(text, heard, how=SURELY), corrections=back) == []


def test_where_something_was_taken_back_no_kin_comes_again() -> None:
    denied = found("thrush", Foot.RF, negated=True, span=at(TEXT, "none on the right"))
    back = [SpokenCorrection(at(TEXT, "on the right"), "scratch")]
    opinion = hears(TEXT, ("thrush", "thrush", {"LF": 0.9}))
    assert alone(TEXT, [denied], opinion, corrections=back) == []


def test_a_part_of_a_job_is_no_job_beside_it() -> None:
    text = "Bar shoe with side clips, left fore."
    shoe = Fact(
        FactKind.WORK, "bar_shoe", (Foot.LF,), FootBasis.SAID, span=at(text, "Bar shoe with side"),
        details={"clips": "side"}, rule="lexicon:bar_shoe",
    )  # fmt: skip
    assert alone(text, [shoe], hears(text, ("clips", "side", {"LF": 0.9}))) == []


def test_what_somebody_was_told_is_proposed() -> None:
    text = "Thrush behind. Told the lad to pick them out."
    thrush = found("thrush", Foot.LH, Foot.RH, span=at(text, "Thrush"))
    (new,) = alone(text, [thrush], hears(text, ("spoke_to", "told", {})))
    assert (new.kind, new.code, new.feet) == (FactKind.ADVICE, "spoke_to", ())


def test_words_that_the_farrier_taught_stay_his() -> None:
    rules = PersonalRules().with_phrase("spongy in the middle", "finding", "thrush")
    entry = load(rules).understand(
        Transcript.typed("left hind spongy in the middle"), recorded=datetime(2026, 11, 25)
    )[0]
    assert [f.code for f in entry.facts] == ["thrush"]
