"""Vosk model folders: where they are, whether they are whole, and what they can do.

The layout is Vosk's own (its models page and ``src/model.cc`` of vosk-api). libvosk may end the
whole process on a damaged file, so a folder is loaded once in a process of its own before it is
loaded in ours; the verdict is kept until one of its files changes.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from fieldlog.config import Settings
from fieldlog.errors import ModelDamaged, ModelMissing, SpeechError
from fieldlog.paths import Places
from fieldlog.sound.keep import disk_errors
from fieldlog.speech.pronounce import names_to_say
from fieldlog.speech.shipped import ensure_expanded, is_packed, shipped_model

_PROOF_SECONDS = 180.0

_DROP_HINT = (
    "A model is a folder with am/final.mdl in it; unpack the zip file and give the folder inside."
)


class Origin(StrEnum):
    """Where a model was found."""

    GIVEN = "given"
    """A path on the command line."""
    SETTING = "setting"
    """The ``model`` key of the settings file."""
    YOURS = "yours"
    """The user's own models folder."""
    SHIPPED = "shipped"
    """Came with fieldlog."""


@dataclass(frozen=True, slots=True)
class SpeechModel:
    """A model folder that has all the files it needs."""

    path: Path
    name: str
    """The folder's name; with ``vosk/`` before it the reader that words are marked with."""
    origin: Origin
    takes_words: bool
    """True if its graph takes a word list at run time (``HCLr.fst`` and ``Gr.fst``)."""
    size: int
    """Bytes on disk."""

    @property
    def reader(self) -> str:
        return f"vosk/{self.name}"

    def describe(self) -> str:
        """One sentence for the farrier."""
        where = {
            Origin.GIVEN: "given on the command line",
            Origin.SETTING: "from the settings file",
            Origin.YOURS: "from your models folder",
            Origin.SHIPPED: "shipped with fieldlog",
        }[self.origin]
        words = (
            "its graph takes a word list at run time"
            if self.takes_words
            else "its vocabulary is fixed"
        )
        return f"{self.name} ({where}, {self.size / 1e6:.0f} MB; {words})"


def find_model(
    settings: Settings,
    places: Places,
    model_path: Path | str | None = None,
    names: Iterable[str] = (),
) -> SpeechModel:
    """The model to use: the path given, the setting, the user's newest, the shipped one.

    A path that was asked for is used or refused, never quietly replaced by another model. The
    shipped model is made to hear ``names`` as well.

    Raises:
        ModelMissing: the asked-for folder is not there, or there is no model at all.
        ModelDamaged: the folder lacks files.
    """
    if model_path:
        return examine(_expanded(Path(model_path).expanduser(), places), Origin.GIVEN)
    if settings.model:
        return examine(_expanded(Path(settings.model).expanduser(), places), Origin.SETTING)
    own = _own_folders(places)
    if own:
        return examine(_expanded(own[0], places), Origin.YOURS)
    with disk_errors("the shipped speech model"):
        shipped = shipped_model(places, names_to_say(names))
    if shipped is None:
        raise ModelMissing(
            "There is no speech model.",
            f"Fetch one while online, or put a Vosk model folder into {places.models}.",
        )
    return examine(shipped, Origin.SHIPPED)


def known_models(places: Places) -> list[SpeechModel | ModelDamaged]:
    """Every model that fieldlog sees, best first; damaged ones as the error that says why."""
    found: list[SpeechModel | ModelDamaged] = []
    for folder in _own_folders(places):
        try:
            found.append(examine(_expanded(folder, places), Origin.YOURS))
        except ModelDamaged as problem:
            found.append(problem)
    try:
        with disk_errors("the shipped speech model"):
            shipped = shipped_model(places)
        if shipped is not None:
            found.append(examine(shipped, Origin.SHIPPED))
    except ModelDamaged as problem:
        found.append(problem)
    return found


def examine(folder: Path, origin: Origin = Origin.GIVEN) -> SpeechModel:
    """Look whether a folder has the files that libvosk needs, without loading it.

    Raises:
        ModelMissing: no such folder.
        ModelDamaged: files are missing or empty; the sentence names them.
    """
    if not folder.is_dir():
        kind = "is not a folder" if folder.exists() else "is not there"
        raise ModelMissing(f"The speech model {folder} {kind}.", _DROP_HINT)
    folder = folder.resolve()
    lacking = list(_lacking(folder))
    if lacking:
        raise ModelDamaged(
            f"The speech model {folder.name} is incomplete: {', '.join(lacking)}.",
            _DROP_HINT if "am/final.mdl is missing" in lacking else "Copy or fetch it again.",
        )
    return SpeechModel(
        path=folder,
        name=folder.name,
        origin=origin,
        takes_words=_has_dynamic_graph(folder),
        size=sum(size for _, size, _ in _files(folder)),
    )


def prove(model: SpeechModel, places: Places) -> None:
    """Load the model in a process of its own and let it read a second of sound.

    The good verdict is kept in the cache folder under the sizes and dates of the model's files.

    Raises:
        ModelDamaged: it does not load, or takes the process down.
    """
    verdict = places.cache / "proven-models" / _fingerprint(model.path)
    if verdict.is_file():
        return
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONSTARTUP"}
    try:
        run = subprocess.run(
            [sys.executable, "-m", "fieldlog.speech.proof", str(model.path)],
            capture_output=True,
            timeout=_PROOF_SECONDS,
            env=environment,
            stdin=subprocess.DEVNULL,
            check=False,
        )
        passed = run.returncode == 0 and run.stdout.strip().endswith(b"proven")
        said = run.stderr.decode("utf-8", "replace")
    except subprocess.TimeoutExpired:
        passed, said = False, f"it did not load within {_PROOF_SECONDS:.0f} s"
    if gone := re.search(r"No module named '([\w-]+)", said):
        # The model is whole: another copy of it would not load either.
        raise SpeechError(
            f"Speech cannot be read: the package {gone[1]} is not installed.",
            "Install fieldlog again into this environment; your notes and sounds stay.",
        )
    if not passed:
        raise ModelDamaged(
            f"The speech model {model.name} cannot be used: {_gist(said)}.",
            "Copy or fetch it again, or choose another model.",
        )
    with contextlib.suppress(OSError):
        verdict.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        verdict.touch(mode=0o600)


def _own_folders(places: Places) -> list[Path]:
    """Model folders of the user, newest first; folders that hold no acoustic model are others'."""
    if not places.models.is_dir():
        return []
    folders = [
        f
        for f in places.models.iterdir()
        if f.is_dir() and not f.name.startswith(".") and any(f.iterdir())
    ]
    return sorted(folders, key=lambda f: (-f.stat().st_mtime, f.name))


def _expanded(folder: Path, places: Places) -> Path:
    """The folder itself, or the expanded form of a packed one."""
    if not is_packed(folder):
        return folder
    with disk_errors(f"the speech model {folder.name}"):
        return ensure_expanded(folder, places.cache / "packed-models")


def _has_dynamic_graph(folder: Path) -> bool:
    return (folder / "graph/HCLr.fst").is_file() and (folder / "graph/Gr.fst").is_file()


def _lacking(folder: Path) -> Iterator[str]:
    needed = ["am/final.mdl", "conf/model.conf"]
    if not (folder / "conf/fbank.conf").is_file():
        needed.append("conf/mfcc.conf")
    if _has_dynamic_graph(folder):
        needed += ["graph/HCLr.fst", "graph/Gr.fst", "graph/disambig_tid.int"]
    else:
        needed.append("graph/HCLG.fst")
    if (folder / "ivector").is_dir():
        needed += [
            f"ivector/{name}"
            for name in ("final.ie", "final.dubm", "final.mat", "splice.conf", "online_cmvn.conf")
        ]
        needed.append("ivector/global_cmvn.stats")
    for name in needed:
        path = folder / name
        if not path.is_file():
            yield f"{name} is missing"
        elif path.stat().st_size == 0:
            yield f"{name} is empty"


def _files(folder: Path) -> list[tuple[str, int, int]]:
    """Relative name, size and modification time (ns) of every file."""
    return sorted(
        (str(p.relative_to(folder)), s.st_size, s.st_mtime_ns)
        for p in folder.rglob("*")
        if p.is_file() and (s := p.stat())
    )


def _fingerprint(folder: Path) -> str:
    facts = json.dumps([str(folder), _files(folder), sys.version_info[:2]])
    return hashlib.sha256(facts.encode()).hexdigest()[:32]


def _gist(said: str) -> str:
    """The line of Kaldi's output that says what is wrong."""
    lines = [line.strip() for line in said.splitlines() if line.strip()]
    errors = [line for line in lines if line.startswith("ERROR")]
    if not errors:
        return lines[-1][:200].rstrip(".") if lines else "loading it ends the program"
    text = errors[-1].split(") ", 1)[-1]
    printable = "".join(c for c in text if c.isprintable() and c != "\ufffd")
    return printable[:200].rstrip(". ")
