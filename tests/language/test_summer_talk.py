"""Ways of talking of eight more writers: what names a job or a finding, and what names none."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from fieldlog.core.facts import Fact

Facts = Callable[[str], list[Fact]]


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Near fore's loose, so off came the shoe.", "pull"),
        ("Popped the wedge pads off both fronts.", "take_off"),
        ("Nail in the frog, near hind. I haven't pulled it.", "leave_alone"),
        ("Off fore's hot. I've not touched her.", "leave_alone"),
        ("Never went near the soles, both fronts.", "leave_alone"),
        ("Trimmed both fronts, took the edge off all the way round.", "mustang_roll"),
        ("Near hind, no shoe on that foot.", "barefoot"),
        ("Shod the fronts, side clips.", "clips"),
        ("Bar shoe on the off fore, clips both sides of the crack.", "clips"),
        ("Four new shoes.", "shoe"),
        ("Off hind gets a size bigger.", "shoe"),
        ("Near fore, crack on the inside quarter.", "quarter_crack"),
        ("Near fore, crack from the ground up.", "grass_crack"),
        ("Off hind, a crack from the hairline down.", "sand_crack"),
        ("There's a ring on both fronts an inch under the hairline.", "event_line"),
        ("Near hind, the wall has come away at the inside.", "wall_separation"),
    ],
)
def test_it_is_told(facts: Facts, said: str, code: str) -> None:
    assert code in {f.code for f in facts(said) if not f.negated}, said


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("The abscess blew at the bulb, near hind. It's dry now.", "discharge"),
        ("Drew the nail on the off fore and it came out dry.", "discharge"),
        ("Off fore, the hole's dry.", "discharge"),
    ],
)
def test_it_is_denied(facts: Facts, said: str, code: str) -> None:
    assert code in {f.code for f in facts(said) if f.negated}, said


@pytest.mark.parametrize(
    ("said", "code"),
    [
        ("Roofing nail in the frog, near hind. I have not pulled it.", "pull"),
        ("Keep that hole wrapped and dry, near hind.", "discharge"),
    ],
)
def test_it_is_not_told(facts: Facts, said: str, code: str) -> None:
    assert code not in {f.code for f in facts(said)}, said
