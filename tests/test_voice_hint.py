"""That a voice can be learnt is told once, after the first saved note that was heard."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from fieldlog.app.main import FieldlogApp
from fieldlog.cli.main import cli
from fieldlog.core.facts import Entry, Fact, FactKind, FootBasis, HorseMention
from fieldlog.core.feet import Foot
from fieldlog.paths import Places, places
from fieldlog.records.store import Store
from fieldlog.voice_hint import HINT, MARK, voice_hint
from tests.app import barn
from tests.app.driving import press, settle

HEARD = "vosk/farrier-en-11"


@pytest.fixture
def where(tmp_path: Path) -> Places:
    return places(tmp_path / "home").make()


def heard(store: Store, reader: str = HEARD, text: str = "thrush on the left hind") -> str:
    """A draft made of sound, or of typing if there is no ``reader``; returns its id."""
    fact = Fact(FactKind.FINDING, "thrush", (Foot.LH,), FootBasis.SAID, span=(0, 6))
    recording = None
    if reader:
        sha = hashlib.sha256((reader + text).encode()).hexdigest()
        recording = store.add_recording(sha, None, 2.0, datetime(2026, 11, 25, tzinfo=UTC)).id
        store.store_transcript(recording, replace(barn.heard(text), reader=reader))
    mention = HorseMention("Juniper", (0, 0), known=True)
    (draft,) = store.add_drafts(recording, [Entry((fact,), text, (0, len(text)), mention)])
    return draft.id


@pytest.mark.parametrize(
    ("reader", "said"),
    [(HEARD, HINT), (HEARD + "-own-voice", ""), ("vosk/large-en", ""), ("", "")],
)
def test_it_is_told_once_and_only_of_what_can_learn(where: Places, reader: str, said: str) -> None:
    with Store.open(where.database) as store:
        store.add_horse("Juniper")
        draft = heard(store, reader)
        assert voice_hint(store, where, [draft]) == said
        assert voice_hint(store, where, [draft]) == ""


def test_who_began_to_read_aloud_is_not_told(where: Places) -> None:
    with Store.open(where.database) as store:
        store.add_horse("Juniper")
        where.readings.mkdir()
        assert voice_hint(store, where, [heard(store)]) == ""
        assert not (where.data / MARK).exists()


def test_where_it_cannot_be_marked_it_is_not_told_for_ever(
    where: Places, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError("read-only")

    with Store.open(where.database) as store:
        store.add_horse("Juniper")
        draft = heard(store)
        monkeypatch.setattr(Path, "touch", refuse)
        assert voice_hint(store, where, [draft]) == ""


def test_the_command_line_tells_it_once(where: Places) -> None:
    with Store.open(where.database) as store:
        store.add_horse("Juniper")
        first = heard(store)
        second = heard(store, text="thrush left hind")
    outputs = [
        CliRunner().invoke(cli, ["--home", str(where.data), "save", i]).output
        for i in (first, second)
    ]
    assert ["fieldlog voice read" in " ".join(o.split()) for o in outputs] == [True, False]


@pytest.mark.parametrize("key", ["s", "S"])
async def test_the_app_tells_it_once(where: Places, key: str) -> None:
    with Store.open(where.database) as store:
        store.add_horse("Juniper")
        heard(store)
    app = FieldlogApp(barn.desk_at(where))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, key)
        assert HINT in app.screen.query_one("AnswerLine").text  # type: ignore[attr-defined]
        await app.desk.close()
    assert (where.data / MARK).exists()
