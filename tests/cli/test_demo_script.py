"""The demo day's own words, as written and without punctuation: a floor that may not fall."""

from __future__ import annotations

import pytest

from fieldlog.cli.demo_day import DemoDay
from fieldlog.cli.demo_report import read_from_words
from fieldlog.cli.scoring import FactScore, words_of
from fieldlog.core.words import Transcript
from fieldlog.language.pipeline import load


@pytest.mark.parametrize(("stops", "right"), [(True, 97), (False, 93)])
def test_the_demo_days_whole_facts_stay_right(day: DemoDay, stops: bool, right: int) -> None:
    score = FactScore()
    names = [horse.name for horse in day.horses]
    for note in day.notes:
        said = note.text if stops else " ".join(words_of(note.text))
        entries = load().understand(
            Transcript.typed(said), recorded=note.at.astimezone(), names=names
        )
        got = read_from_words([fact for entry in entries for fact in entry.facts])
        score.add([fact for _, fact in note.facts], got)
    whole = score.fields["whole fact"]
    assert whole.meant == 100
    assert whole.right >= right
    assert whole.said <= 102, "facts that nobody said"
