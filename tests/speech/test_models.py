"""Model folders: found, missing, damaged. Real libvosk loads the shipped model here."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from fieldlog.config import Settings
from fieldlog.errors import ModelDamaged, ModelMissing, SpeechError
from fieldlog.paths import Places
from fieldlog.speech import models, shipped
from fieldlog.speech.models import Origin, SpeechModel, examine, find_model, known_models, prove
from fieldlog.speech.opening import open_recogniser


@pytest.fixture
def copy(shipped: SpeechModel, home: Places) -> Path:
    """A model folder of the user's own, to be damaged (files are linked: 100 MB each)."""
    folder = home.models / "mine"
    shutil.copytree(shipped.path, folder, copy_function=os.link)
    return folder


def damage(path: Path, content: bytes) -> None:
    """Replace a file without touching what its hard link shares."""
    path.unlink()
    path.write_bytes(content)


def test_the_order_of_the_search(ready: Places, shipped: SpeechModel, copy: Path) -> None:
    shutil.move(copy, ready.models / "mine")
    mine = ready.models / "mine"
    assert find_model(Settings(), ready).origin is Origin.YOURS
    given = find_model(Settings(model=str(mine)), ready, shipped.path)
    assert (given.origin, given.name) == (Origin.GIVEN, shipped.name)
    assert find_model(Settings(model=str(shipped.path)), ready).origin is Origin.SETTING
    shutil.rmtree(mine)
    assert find_model(Settings(), ready).origin is Origin.SHIPPED
    assert "shipped with fieldlog" in find_model(Settings(), ready).describe()


def test_a_path_asked_for_is_never_quietly_replaced(ready: Places, tmp_path: Path) -> None:
    for settings, path in ((Settings(), tmp_path / "gone"), (Settings(model="/no/such/dir"), None)):
        with pytest.raises(ModelMissing, match="is not there"):
            find_model(settings, ready, path)
    (tmp_path / "file").touch()
    with pytest.raises(ModelMissing, match="is not a folder"):
        find_model(Settings(), ready, tmp_path / "file")


def test_no_model_at_all(home: Places, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(models, "shipped_model", lambda places, names: None)
    with pytest.raises(ModelMissing, match="There is no speech model") as caught:
        find_model(Settings(), home)
    assert str(home.models) in caught.value.remedy


@pytest.mark.parametrize(
    "name", ["am/final.mdl", "conf/model.conf", "conf/mfcc.conf", "graph/HCLG.fst"]
)
def test_missing_and_empty_files_are_named(copy: Path, name: str) -> None:
    damage(copy / name, b"")
    with pytest.raises(ModelDamaged, match=f"{name} is empty"):
        examine(copy)
    (copy / name).unlink()
    with pytest.raises(ModelDamaged, match=f"{name} is missing"):
        examine(copy)


def test_a_zip_folder_one_level_too_high(home: Places, copy: Path) -> None:
    with pytest.raises(ModelDamaged, match="incomplete") as caught:
        examine(home.models)
    assert "folder inside" in caught.value.remedy


def test_run_time_words_need_both_graph_files(copy: Path) -> None:
    assert not examine(copy).takes_words
    for name in ("HCLr.fst", "Gr.fst", "disambig_tid.int"):
        (copy / "graph" / name).write_bytes(b"x")
    assert examine(copy).takes_words
    (copy / "graph/disambig_tid.int").unlink()
    with pytest.raises(ModelDamaged, match="disambig_tid"):
        examine(copy)


def halved(content: bytes) -> bytes:
    return content[: len(content) // 2]


@pytest.mark.parametrize(
    ("name", "spoil", "says"),
    [
        ("am/final.mdl", halved, "matrix"),
        ("am/final.mdl", lambda c: b"not a model", "TransitionModel"),
        ("graph/HCLG.fst", halved, "fst"),
        ("graph/HCLG.fst", lambda c: os.urandom(5000), "FST"),
        ("conf/model.conf", lambda c: c + b"--nonsense=1\n", ""),
        ("conf/mfcc.conf", lambda c: b"--num-ceps=13\n", "dimension"),
        ("graph/words.txt", lambda c: b"\xff\xfe\n", "symbol"),
    ],
)
def test_damaged_files_are_found_in_another_process(
    home: Places, copy: Path, name: str, spoil: Callable[[bytes], bytes], says: str
) -> None:
    damage(copy / name, spoil((copy / name).read_bytes()))
    model = examine(copy)
    with pytest.raises(ModelDamaged, match="mine cannot be used") as caught:
        prove(model, home)
    assert says.lower() in caught.value.message.lower()
    assert caught.value.message.isprintable()
    with pytest.raises(ModelDamaged):
        open_recogniser(Settings(), home, copy)


def test_bits_flipped_at_random_never_take_us_down(home: Places, copy: Path) -> None:
    """Whatever libvosk does with such a model, it does it to another process."""
    import random

    path = copy / "am/final.mdl"
    whole = path.read_bytes()
    chance = random.Random(7)
    outcomes = set()
    for _ in range(4):
        spoilt = bytearray(whole)
        for _ in range(40):
            spoilt[chance.randrange(6_000)] ^= 1 << chance.randrange(8)
        damage(path, bytes(spoilt))
        try:
            prove(examine(copy), home)
            outcomes.add("loads")
        except ModelDamaged:
            outcomes.add("damaged")
    assert "damaged" in outcomes


def test_a_model_that_does_not_load_in_time_is_refused(
    ready: Places, shipped: SpeechModel, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(models, "_PROOF_SECONDS", 0.05)
    monkeypatch.setattr(models, "_fingerprint", lambda folder: "another")
    with pytest.raises(ModelDamaged, match="did not load within 0 s"):
        prove(shipped, ready)
    assert not (ready.cache / "proven-models" / "another").exists(), "tried anew the next time"


@pytest.mark.parametrize(
    ("said", "kind", "told"),
    [
        ("ModuleNotFoundError: No module named 'vosk'", SpeechError, "package vosk is not inst"),
        ("LOG (x) fine\nERROR (VoskAPI:Read():x.cc:1) Expected token <Nnet3>.", ModelDamaged,
         "cannot be used: Expected token <Nnet3>."),
        ("something else went wrong.\n", ModelDamaged, "cannot be used: something else went w"),
        ("", ModelDamaged, "cannot be used: loading it ends the program."),
    ],
)  # fmt: skip
def test_what_a_model_breaks_by_is_told(
    home: Places, copy: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    said: str, kind: type[SpeechError], told: str,
) -> None:  # fmt: skip
    """A program in Python's place says what libvosk or Python would say."""
    program = tmp_path / "python"
    program.write_text(f"#!/bin/sh\ncat >&2 <<'END'\n{said}\nEND\nexit 1\n", encoding="utf-8")
    program.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(program))
    with pytest.raises(SpeechError) as caught:
        prove(examine(copy), home)
    assert type(caught.value) is kind
    assert told in caught.value.message
    assert caught.value.remedy


def test_a_good_verdict_is_kept_until_a_file_changes(
    home: Places, copy: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    model = examine(copy)
    prove(model, home)
    runs: list[object] = []

    def count(*args: object, **how: object) -> subprocess.CompletedProcess[bytes]:
        runs.append(args)
        return subprocess.CompletedProcess([], 0, b"proven\n", b"")

    monkeypatch.setattr(subprocess, "run", count)
    prove(model, home)
    assert runs == []
    damage(copy / "conf/model.conf", (copy / "conf/model.conf").read_bytes() + b"\n")
    prove(model, home)
    assert len(runs) == 1


def test_known_models_tells_good_and_bad(ready: Places) -> None:
    (ready.models / "broken").mkdir()
    (ready.models / "broken/README").write_text("hello")
    (ready.models / ".hidden").mkdir()
    broken, good = known_models(ready)
    assert isinstance(broken, ModelDamaged)
    assert isinstance(good, SpeechModel)
    assert good.origin is Origin.SHIPPED


def test_a_packed_model_in_the_users_folder_is_expanded(ready: Places) -> None:
    from fieldlog.paths import project_folder

    folder = project_folder("models")
    assert folder is not None
    shutil.copytree(folder / shipped.SHIPPED, ready.models / "newer")
    model = find_model(Settings(), ready)
    assert model.origin is Origin.YOURS
    assert (model.path / "am/final.mdl").is_file()


def test_loading_writes_nothing_to_the_terminal(shipped: SpeechModel) -> None:
    """Kaldi's log goes to file descriptor 2, where the app draws: it has to be silent."""
    code = (
        "import sys, json\n"
        "from pathlib import Path\n"
        "from fieldlog.speech.models import examine\n"
        "from fieldlog.speech.vosk_reader import VoskRecogniser\n"
        "r = VoskRecogniser(examine(Path(sys.argv[1])))\n"
        "r.feed(bytes(32000)); print(json.dumps(r.finish().to_dict()))\n"
    )
    run = subprocess.run(
        [sys.executable, "-c", code, str(shipped.path)],
        capture_output=True,
        text=True,
        check=True,
    )
    assert run.stderr == ""
    assert json.loads(run.stdout)["duration"] == 1.0


def test_noise_on_the_error_descriptor_is_kept_from_the_screen(tmp_path: Path) -> None:
    code = (
        "import os, sys\n"
        "from pathlib import Path\n"
        "from fieldlog.sound.quiet import native_noise_to\n"
        "with native_noise_to(Path(sys.argv[1])):\n"
        "    os.write(2, b'ALSA lib noise\\n')\n"
        "    sys.__stderr__.write('drawing '); sys.__stderr__.flush()\n"
        "    print('python says', file=sys.stderr)\n"
        "os.write(2, b'after')\n"
    )
    log = tmp_path / "logs" / "native.log"
    run = subprocess.run(
        [sys.executable, "-c", code, str(log)], capture_output=True, text=True, check=True
    )
    assert run.stderr == "drawing python says\nafter"
    assert log.read_text() == "ALSA lib noise\n"
