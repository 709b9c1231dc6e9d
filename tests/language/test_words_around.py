"""What the words around a finding or a promise do to it, as strangers say them."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact, FactKind, Trend

Facts = Callable[[str], list[Fact]]


def told(facts: list[Fact]) -> list[tuple[str, str, bool]]:
    return [(f.code, "+".join(x.name for x in f.feet), f.negated) for f in facts]


def due(fact: Fact) -> str:
    if fact.due is None:
        return ""
    return fact.due.period or fact.due.anchor or str(fact.due.on or "")


@pytest.mark.parametrize(
    ("said", "code", "clear"),
    [
        ("Right front clinches have risen. Left front's snug.", "clench_risen", "LF"),
        ("Near hind shoe is loose. Off one's tight.", "shoe_loose", "RH"),
        ("Left hind sounds hollow at the toe. Right hind tapped solid.", "hollow", "RH"),
        ("The off fore's dished at the toe. The near one's flat.", "dish", "LF"),
    ],
)
def test_how_the_mate_is_denies_the_finding(said: str, code: str, clear: str, facts: Facts) -> None:
    assert (code, clear, True) in told(facts(said))


def test_a_good_foot_in_a_sentence_of_its_own_denies_nothing(facts: Facts) -> None:
    assert not any(f.negated for f in facts("Near hind has a quarter crack. Off hind's fine."))


def test_the_mate_had_it_too_and_it_is_gone(facts: Facts) -> None:
    found = facts("Left front has a toe crack. The right one had one as well but it's gone.")
    gone = next(f for f in found if f.negated)
    assert told([gone]) == [("toe_crack", "RF", True)]
    assert gone.comparison is not None
    assert gone.comparison.trend is Trend.GONE


@pytest.mark.parametrize(
    ("said", "code", "open_"),
    [
        ("Quarter crack on the near hind, maybe half an inch.", "quarter_crack", False),
        ("Looks like a turnip growing there, and it stinks, off hind frog.", "bad_smell", False),
        ("Vet thinks ringbone, left hind.", "ringbone", True),
        ("Bruise is my bet, right front.", "bruise", True),
        ("Off fore, could be only a bruise.", "bruise", True),
    ],
)
def test_doubt_of_the_thing_or_of_its_size(said: str, code: str, open_: bool, facts: Facts) -> None:
    assert [f.uncertain for f in facts(said) if f.code == code] == [open_]


@pytest.mark.parametrize(
    ("said", "earlier"),
    [
        ("She says he had founder three winters back.", True),
        ("Abscess from July, off hind.", True),
        ("Short on the near fore the day after I trimmed him.", True),
        ("He used to kick.", True),
        ("Last farrier had him in bar shoes in front.", True),
        ("Old crack in the near hind toe, an inch long.", False),
    ],
)
def test_of_today_or_earlier(said: str, earlier: bool, facts: Facts) -> None:
    assert facts(said)[0].historical is earlier


@pytest.mark.parametrize(
    ("said", "code", "planned"),
    [
        ("Vet wants egg bars in front, so that's what she got.", "egg_bar", False),
        ("Vet wants egg bars in front.", "egg_bar", True),
        ("Heart bar on the near fore when I'm back Friday.", "heart_bar", True),
        ("I'm coming back Monday and put boots on the fronts.", "boot", True),
        ("Time after that we see about plain shoes in front.", "shoe", True),
    ],
)
def test_done_or_still_to_do(said: str, code: str, planned: bool, facts: Facts) -> None:
    assert [f.planned for f in facts(said) if f.code == code] == [planned]


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("I'm phoning her tomorrow to see how he goes.", [("call", "2026-11-26")]),
        ("I'll ring her Friday a week.", [("tell_owner", "2026-12-04")]),
        ("Recheck in two weeks, six for the trim.", [("recheck", "P2W"), ("next_trim", "P6W")]),
        ("Five weeks, and if she's sore ring me.", [("next_trim", "P5W"), ("call", "")]),
        ("Vet needs to see it, not in a month, by Friday.", [("vet_visit", "2026-11-27")]),
        ("I want Doctor Hale to look at it Monday.", [("vet_visit", "2026-11-30")]),
        ("See you in five weeks.", [("next_trim", "P5W")]),
        ("Films are clean on both fronts.", []),
        ("She's a seven if she's a day.", []),
    ],
)
def test_promises(said: str, expected: list[tuple[str, str]], facts: Facts) -> None:
    found = [f for f in facts(said) if f.kind is FactKind.FOLLOW_UP]
    assert [(f.code, due(f)) for f in found] == expected


@pytest.mark.parametrize(
    ("said", "code", "clear"),
    [
        ("Toe crack, right front, growing out. Other one never had it.", "toe_crack", "LF"),
        ("Thrush in the off hind. Near hind not a sign of it.", "thrush", "LH"),
        ("Pulse is up in the near fore, off one's back to normal.", "digital_pulse", "RF"),
    ],
)  # fmt: skip
def test_the_mate_has_none_of_it(said: str, code: str, clear: str, facts: Facts) -> None:
    assert (code, clear, True) in told(facts(said))


def test_testers_answer_place_by_place(facts: Facts) -> None:
    found = facts(
        "Testers, sore at the toe, left front. Nothing at the heels. Right front he never flinched."
    )
    assert [(f.code, f.places) for f in found if f.code == "tester_negative"] == [
        ("tester_negative", ("heel",)),
        ("tester_negative", ()),
    ]  # fmt: skip


def test_a_lost_nail_that_is_gone_is_lost(facts: Facts) -> None:
    assert not facts("Nail missing off fore, inside heel, it's gone.")[0].negated


def test_can_t_see_it_is_the_farrier_s_word(facts: Facts) -> None:
    found = facts("Trainer reckons he's short in front. Can't see it.")
    assert [f.negated for f in found if f.code == "short_strided"] == [False, True]


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("Vet's coming out at four o'clock.", [("vet_visit", "2026-11-25")]),
        ("Doctor Quillan needs to see her Friday.", [("vet_visit", "2026-11-27")]),
        ("Bring the small boots next time.", [("bring", "next_visit")]),
        ("Not due for three weeks yet.", [("next_trim", "P3W")]),
        ("Eighth off the toe today, another eighth next time.", [("staged_correction", "")]),
    ],
)
def test_more_promises(said: str, expected: list[tuple[str, str]], facts: Facts) -> None:
    found = [f for f in facts(said) if f.kind is FactKind.FOLLOW_UP]
    assert [(f.code, due(f)) for f in found] == expected
    assert not any(f.negated for f in found)


def test_next_time_before_a_job_is_that_job_s(facts: Facts) -> None:
    found = facts("Rolled the toes in front, next time I lower the heels.")
    assert [(f.code, f.planned) for f in found] == [("roll_toe", False), ("lower_heel", True)]


@pytest.mark.parametrize(
    "said", ["He's a six on condition I'd say.", "Lame, I'd call it two of five."]
)
def test_a_grade_as_graders_give_it(said: str, facts: Facts) -> None:
    assert not any(f.uncertain for f in facts(said) if f.kind is FactKind.SCORE)


@pytest.mark.parametrize(
    ("said", "who"),
    [
        ("Doctor Quillan trotted him. She called it a three out of five.", "vet"),
        ("The vet over in Barlow called it navicular, both fronts.", "vet"),
        ("Ringbone, the physio reckons, off hind.", "other"),
    ],
)
def test_who_says_so(said: str, who: str, facts: Facts) -> None:
    assert who in {str(f.reporter) for f in facts(said)}


@pytest.mark.parametrize(
    ("said", "trend"),
    [
        ("Seedy toe, off fore, twelve o'clock. So it's mending.", Trend.BETTER),
        ("Toe crack, near hind. Better than when I last had it.", Trend.BETTER),
        ("Toe crack, near hind. It's on the mend.", Trend.BETTER),
        ("It reeks worse than two weeks ago, off hind frog.", Trend.WORSE),
    ],
)
def test_a_trend_in_a_sentence_of_its_own(said: str, trend: Trend, facts: Facts) -> None:
    found = facts(said)
    assert len(found) == 1
    assert found[0].comparison is not None
    assert found[0].comparison.trend is trend


def test_a_scar_does_not_grow_out(facts: Facts) -> None:
    found = facts("Scar on the left hind coronet, the wall grows down crooked below it.")
    assert found[0].comparison is None


@pytest.mark.parametrize(
    ("said", "code", "foot"),
    [
        ("Left hind, I was about to say canker, but it isn't, just rags.", "canker", "LH"),
        ("Right front, at first I thought it was a corn but it wasn't.", "corn", "RF"),
        ("Right hind, quarter crack. Blood? No, bone dry.", "bleeding", "RH"),
        ("Near fore bruise, no, I don't think so.", "bruise", "LF"),
    ],
)
def test_what_he_nearly_said_is_denied(said: str, code: str, foot: str, facts: Facts) -> None:
    assert (code, foot, True) in told(facts(said))


def test_who_rides_is_not_who_owns(facts: Facts) -> None:
    assert [str(f.reporter) for f in facts("Rider says she stumbles.")] == ["other"]
    assert [str(f.reporter) for f in facts("Owner says she stumbles.")] == ["owner"]


def test_who_rocks_back_is_the_horse(facts: Facts) -> None:
    assert told(facts("He's standing rocked back off his fronts."))[0][1] == ""


@pytest.mark.parametrize(
    ("said", "code", "foot"),
    [
        ("Fronts. Egg bar on the near, off just reset.", "reset", "RF"),
        ("Hinds. Wedge on the off. Near's got a plain pad.", "pad", "LH"),
        ("Fronts. Pared the sole on the near. Off is clubby.", "clubby", "RF"),
        ("Near fore sand crack. Off fore has a bruise. Left the crack alone.", "leave_alone", "LF"),
        ("Flare on the left hind. Right hind has thrush. Rasped that flare.", "dress_flare", "LH"),
    ],
)
def test_a_bare_side_or_the_thing_names_the_foot(
    said: str, code: str, foot: str, facts: Facts
) -> None:
    assert (code, foot, False) in told(facts(said))


def test_what_grows_is_the_track_and_not_what_is_left_of_it(facts: Facts) -> None:
    track, left = facts("Old abscess track on the off fore. Growing down, half an inch to go.")
    assert track.comparison is not None
    assert track.comparison.trend is Trend.GROWING_OUT
    assert left.comparison is None
