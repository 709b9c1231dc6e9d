"""What the farrier taught: kept in a file that a person can read, and used."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.units import Quantity, Unit
from fieldlog.core.words import Transcript, Word
from fieldlog.errors import ConfigError
from fieldlog.language.personal import PersonalRules, load_personal, save_personal, suggest
from fieldlog.language.pipeline import load

RECORDED = datetime(2026, 11, 25, 9, 0)
text = st.text(min_size=1, max_size=12).filter(lambda s: s.strip())


@given(heard=text, meant=text, unit=st.sampled_from(["", "in", "mm"]))
def test_round_trip(
    heard: str, meant: str, unit: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("rules") / "my_words.toml"
    try:
        rules = PersonalRules().with_word(heard, meant).with_length_unit(unit)
    except ValueError:
        return
    save_personal(rules, path)
    assert load_personal(path) == rules


def test_missing_file_has_no_rules(tmp_path: Path) -> None:
    assert load_personal(tmp_path / "none.toml") == PersonalRules()


@pytest.mark.parametrize(
    "content", ["[[word", "[[word]]\nheard = 'a'", "[habit]\nlength_unit = 'ell'"]
)
def test_wrong_file_says_what_to_do(content: str, tmp_path: Path) -> None:
    path = tmp_path / "my_words.toml"
    path.write_text(content, encoding="utf-8")
    with pytest.raises(ConfigError, match="your own words"):
        load_personal(path)


def test_word_rule_changes_the_word_and_keeps_what_was_heard() -> None:
    rules = PersonalRules().with_word("left frond", "left front")
    words = (Word("left", 0, 1, 0.9), Word("frond", 1, 2, 0.8), Word("thrush", 2, 3, 0.9))
    changed = rules.applied(Transcript(words))
    assert changed.text == "left front thrush"
    assert (changed.words[0].heard, changed.words[0].end) == ("left frond", 2)
    assert changed.words[0].changed_by == "personal:word"
    assert rules.applied(changed) == changed


def test_phrase_rule_is_understood() -> None:
    rules = PersonalRules().with_phrase("spongy in the middle", "finding", "thrush")
    entry = load(rules).understand(
        Transcript.typed("left hind spongy in the middle"), recorded=RECORDED
    )[0]
    assert [f.code for f in entry.facts] == ["thrush"]


def test_unit_habit_is_used() -> None:
    note = Transcript.typed("left front toe length 76")
    inches = load().understand(note, recorded=RECORDED)[0].facts[0]
    habit = load(PersonalRules().with_length_unit("mm")).understand(note, recorded=RECORDED)[0]
    assert inches.code == habit.facts[0].code == "toe_length"
    quantity = habit.facts[0].quantity
    assert quantity is not None
    assert quantity.unit is Unit.MM


def test_corrected_unit_teaches_a_habit() -> None:
    old = Fact(
        FactKind.MEASUREMENT, "toe_length", quantity=Quantity(8, Unit.INCH, unit_inferred=True)
    )
    new = Fact(FactKind.MEASUREMENT, "toe_length", quantity=Quantity(8, Unit.MM))
    learnt = suggest(old, new, "toe eight", PersonalRules())
    assert learnt is not None
    assert learnt.length_unit == "mm"


def test_corrected_code_teaches_a_phrase() -> None:
    old = Fact(FactKind.FINDING, "bruise")
    new = Fact(FactKind.FINDING, "corn")
    learnt = suggest(old, new, "red spot", PersonalRules())
    assert learnt is not None
    assert learnt.phrases[0].words == "red spot"
    assert suggest(old, old, "red spot", PersonalRules()) is None
