"""What the scripts that take a split say of its name, and what a file without facts comes to."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.gold import evaluate, hear
from tests.gold.annotation import OPEN_SPLITS, SPLITS, TOGETHER, UNSEEN

Output = pytest.CaptureFixture[str]


def said(main: Callable[[], None], *words: str) -> int:
    """The exit status of a script that ends before it begins."""
    sys.argv = ["script", *words]
    with pytest.raises(SystemExit) as end:
        main()
    assert isinstance(end.value.code, int)
    return end.value.code


@pytest.fixture(autouse=True)
def _own_words(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.argv", [])


def test_the_help_stays_on_a_screen(capsys: Output) -> None:
    assert said(evaluate.main, "--help") == 0
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) < 40
    assert not any("dev_bf" in line for line in lines)


@pytest.mark.parametrize(
    ("main", "words", "allowed"),
    [
        (evaluate.main, ("--split", "dev_bz"), (*SPLITS, *TOGETHER)),
        (evaluate.main, ("--errors", "dev_bz"), OPEN_SPLITS),
        (evaluate.main, ("--jsonl", "dev_bz"), OPEN_SPLITS),
        (hear.main, ("dev", "dev_bz"), (*SPLITS, *TOGETHER)),
    ],
)
def test_a_wrong_name_is_told_with_all_that_there_are(
    capsys: Output, main: Callable[[], None], words: tuple[str, ...], allowed: tuple[str, ...]
) -> None:
    assert said(main, *words) == 2
    told = capsys.readouterr().err
    assert "there is no split dev_bz" in told
    assert "is dev_b" in told, "the nearest name"
    for name in allowed:
        assert f" {name}," in told or told.rstrip().endswith(f" {name}")


@pytest.mark.parametrize("option", ["--errors", "--jsonl"])
def test_it_is_said_why_unseen_notes_are_not_listed(capsys: Output, option: str) -> None:
    for name in sorted(UNSEEN):
        assert said(evaluate.main, option, name) == 2
        assert "--split counts them" in capsys.readouterr().err


@pytest.mark.parametrize("option", ["--file", "--file-errors", "--heard"])
def test_a_file_that_is_not_there_is_told(capsys: Output, tmp_path: Path, option: str) -> None:
    assert said(evaluate.main, option, str(tmp_path / "none")) == 2
    assert f"there is no {tmp_path / 'none'}" in capsys.readouterr().err


def test_notes_without_facts_are_counted(
    capsys: Output, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "talk.txt"
    file.write_text("== talk\n> the kettle is on\n", encoding="utf-8")
    monkeypatch.setattr("sys.argv", ["evaluate", "--file", str(file)])
    evaluate.main()
    assert "1 notes, 0 facts found" in capsys.readouterr().out


def test_several_splits_are_heard_each_into_its_own_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """``evaluate --heard`` looks for the parts of a name, so hearing writes them."""
    heard: list[str] = []
    monkeypatch.setattr(hear, "hear", lambda split, into, places: heard.append(split))
    monkeypatch.setattr("sys.argv", ["hear", "dev", "late"])
    hear.main()
    assert heard == ["dev", *TOGETHER["late"]]
