"""The gold notes are well formed, and the understanding does not fall below what was measured.

Floors are the numbers of ``python -m tests.gold.evaluate`` on 2026-11-25 less a margin of about
three hundredths; raise them when the rules get better. The goals stand in the issue, higher.
"""

from __future__ import annotations

import itertools
import tomllib
from pathlib import Path

import pytest

import fieldlog.language
from fieldlog.core.facts import Fact
from fieldlog.core.units import Unit
from fieldlog.language.pipeline import Understander, load
from tests.gold import horses, readers
from tests.gold.annotation import HERE, SPLITS, TOGETHER, UNSEEN, read_fact, read_notes
from tests.gold.evaluate import (
    Tally,
    calibration_error,
    joined_feet,
    judged,
    main,
    paired,
    score,
    single_feet,
)

DATA = Path(fieldlog.language.__file__).parent / "data"
KIND_FILES = {
    "finding": ("findings", "finding"),
    "measurement": ("measures", "measure"),
    "work": ("work", "work"),
    "follow_up": ("followups", "followup"),
    "handling": ("handling", "handling"),
    "advice": ("advice", "advice"),
    "score": ("scores", "score"),
}


@pytest.fixture(scope="module")
def reader() -> Understander:
    return load()


@pytest.mark.parametrize("split", sorted(UNSEEN - {*TOGETHER}))
def test_nobody_reads_the_errors_of_unseen_notes(
    split: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for option, name in (("--errors", split), ("--file-errors", str(HERE / f"{split}.txt"))):
        monkeypatch.setattr("sys.argv", ["evaluate", option, name])
        with pytest.raises(SystemExit):
            main()


def test_every_annotation_uses_known_codes_and_units() -> None:
    known = {}
    for kind, (name, table) in KIND_FILES.items():
        data = tomllib.loads((DATA / f"{name}.toml").read_text(encoding="utf-8"))
        known[kind] = {row["id"] for row in data[table]}
    for split in SPLITS:
        for note in read_notes(split):
            for fact in note.facts:
                assert fact["code"] in known[fact["kind"]], (note.text, fact)
                if "quantity" in fact:
                    Unit(fact["quantity"]["unit"])


def test_no_style_and_no_text_is_in_two_splits() -> None:
    notes = {split: read_notes(split) for split in SPLITS}
    assert sum(len(n) for n in notes.values()) >= 400
    for what in ("style", "text"):
        seen = [{getattr(n, what) for n in notes[split]} for split in SPLITS]
        for one, other in itertools.combinations(seen, 2):
            assert not (one & other)


def test_unknown_token_says_where_to_look() -> None:
    with pytest.raises(ValueError, match=r"GUIDE\.md"):
        read_fact("LF f thrush sideways")


def test_wrong_foot_costs_one_item_and_misses_are_paired_with_nothing() -> None:
    gold = single_feet([read_fact("FR f thrush"), read_fact("LH f crack")])
    found = single_feet([read_fact("LF f thrush"), read_fact("RH f thrush")])
    pairs = paired(gold, found, relaxed=False)
    assert [(g or {}).get("foot") for g, _ in pairs] == ["LF", "RF", "LH"]
    assert [(f or {}).get("foot") for _, f in pairs] == ["LF", "RH", None]


@pytest.mark.parametrize("apart", [True, False])
def test_an_amount_taken_off_counts_with_its_job_whichever_way_it_is_written(apart: bool) -> None:
    one = [read_fact("LF w shorten_toe 0.25in"), read_fact("RF w lower_heel")]
    two = [read_fact("LF w shorten_toe"), read_fact("LF m taken_off 0.25in @toe"),
           read_fact("RF w lower_heel")]  # fmt: skip
    gold, found = joined_feet(two if apart else one), joined_feet(one if apart else two)
    assert gold == found
    assert [(i["code"], i["foot"], i["value"]) for i in gold] == [
        ("shorten_toe", "LF", (0.25, None, "in")), ("lower_heel", "RF", None)
    ]  # fmt: skip
    facts = [Fact.from_dict({**row, "id": "x"}) for row in (two if apart else one)]
    assert judged(facts, one if apart else two) == [True] * len(facts)


def test_a_wrong_fact_on_two_feet_spoils_no_other() -> None:
    gold = [read_fact("LF f thrush"), read_fact("LH f crack")]
    rows = [read_fact("FR f corn"), read_fact("LF f thrush"), read_fact("LH f crack")]
    facts = [Fact.from_dict({**row, "id": "x"}) for row in rows]
    assert judged(facts, gold) == [False, True, True]


@pytest.mark.parametrize("apart", [True, False])
def test_a_finding_at_two_places_counts_the_same_in_one_line_or_two(apart: bool) -> None:
    one = [read_fact("LF f crack @toe @lateral_quarter"), read_fact("RF f crack @toe")]
    two = [read_fact("LF f crack @toe"), read_fact("LF f crack @lateral_quarter"),
           read_fact("RF f crack @toe")]  # fmt: skip
    assert joined_feet(two) == joined_feet(one)
    facts = [Fact.from_dict({**row, "id": "x"}) for row in (two if apart else one)]
    assert judged(facts, one if apart else two) == [True] * len(facts)
    at_toe = Fact.from_dict({**two[0], "id": "x"})
    assert judged([at_toe], two) == [True]
    assert judged([at_toe], one) == [False], "the line has two places, the fact one of them"


def test_two_findings_told_differently_stay_two() -> None:
    rows = [read_fact("LF f crack @toe mild"), read_fact("LF f crack @heel severe")]
    assert joined_feet(rows) == single_feet(rows)


def test_an_amount_without_its_job_stays_a_measure() -> None:
    amount = read_fact("LF m taken_off 0.25in @toe")
    for job in ("LF w lower_heel", "RF w shorten_toe", "LF w shorten_toe 0.5in", "LF w trim"):
        codes = [i["code"] for i in joined_feet([read_fact(job), amount])]
        assert "taken_off" in codes, job


def test_calibration_error_against_hand_arithmetic() -> None:
    # ten facts at 0.9 of which eight are right: |0.9 - 0.8| = 0.1
    rows = [(0.9, n < 8, True) for n in range(10)]
    assert calibration_error(rows, bins=1) == pytest.approx(0.1)


def test_f1_by_hand() -> None:
    # 2 * 8 / (2 * 8 + 2 + 2)
    assert Tally(8, 2, 2).f1 == pytest.approx(0.8)


@pytest.mark.parametrize(
    ("split", "heard", "micro", "measurements"),
    [
        ("train", False, 0.96, 0.97),
        ("dev", False, 0.97, 0.97),
        ("dev", True, 0.97, 0.97),
        ("fresh", False, 0.95, 0.95),
        ("fresh", True, 0.94, 0.92),
        ("late", False, 0.91, 0.90),
        ("late", True, 0.91, 0.92),
        ("last", False, 0.87, 0.90),
        ("last", True, 0.83, 0.86),
        ("newest", False, 0.81, 0.74),
        ("recent", False, 0.815, 0.75),
        ("newcomers", False, 0.835, 0.77),
        ("latest", False, 0.855, 0.82),
        ("latest", True, 0.83, 0.77),
        ("summer", False, 0.8, 0.735),
        ("winter", False, 0.795, 0.78),
        ("harvest", False, 0.79, 0.74),
        ("test", False, 0.875, 0.94),
        ("test", True, 0.855, 0.87),
        ("blind", False, 0.93, 0.88),
        ("blind", True, 0.91, 0.83),
        ("stranger", False, 0.845, 0.8),
        ("stranger", True, 0.82, 0.8),
        ("outsider", False, 0.855, 0.83),
        ("outsider", True, 0.84, 0.77),
    ],
)
def test_understanding_keeps_its_level(
    reader: Understander, split: str, heard: bool, micro: float, measurements: float
) -> None:
    scores, _ = score(read_notes(split), reader, heard)
    assert scores.micro.f1 >= micro
    assert scores.by_field["whole measurement"].f1 >= measurements


@pytest.mark.parametrize(
    ("split", "known", "heard", "filed"),
    [
        ("rounds", True, False, 0.945),
        ("rounds", True, True, 0.91),
        ("circuit", True, False, 0.91),
        ("circuit", True, True, 0.885),
        ("circuit", False, False, 0.835),
    ],
)
def test_facts_are_filed_under_their_horse(
    reader: Understander, split: str, known: bool, heard: bool, filed: float
) -> None:
    """Of the facts that are found in recordings of several horses."""
    scores = horses.score(read_notes(split), reader, known, heard)
    assert scores.filed.hit + scores.filed.extra > 1300
    assert scores.filed.precision >= filed


@pytest.mark.parametrize("name", readers.SETS)
def test_two_readers_of_the_guide_agree(name: str) -> None:
    """What a guide cannot settle bounds what any program can be measured to know."""
    pairs = readers.pairs_of(name)
    assert len(pairs) == len(read_notes(name))
    assert readers.agreement(pairs).micro.f1 > 0.93
