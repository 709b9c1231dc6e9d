"""From settings to a recogniser that is ready to hear."""

from __future__ import annotations

import contextlib
import shutil
import time
from collections.abc import Collection, Iterable, Sequence
from pathlib import Path

from fieldlog.config import Settings
from fieldlog.core.words import Word
from fieldlog.paths import Places
from fieldlog.speech.homophones import mend
from fieldlog.speech.models import Origin, find_model, prove
from fieldlog.speech.names import find_names
from fieldlog.speech.recogniser import Recogniser
from fieldlog.speech.vosk_reader import Touch, VoskRecogniser

_KEEP_SECONDS = 24 * 3600.0


def open_recogniser(
    settings: Settings,
    places: Places,
    model_path: Path | str | None = None,
    names: Iterable[str] = (),
    protected: Collection[str] = (),
) -> Recogniser:
    """A fresh recogniser for one note. The model is loaded once per process.

    The shipped model is given the names before it listens (a few seconds when the list has
    changed); with every model words that sound like a name are shown as that name afterwards, and
    words that merely sound alike (heel, heal) are mended. ``Word.heard`` keeps what was heard.

    Args:
        settings: the farrier's.
        places: where the models and the cache lie.
        model_path: a model folder asked for on the command line; empty for the usual search.
        names: horses, owners and barns of the day.
        protected: words never taken for a name while the reader was sure of them.

    Raises:
        ModelMissing: no model, or not the one asked for.
        ModelDamaged: it lacks files or does not load.
        DiskFull, NotAllowed: the cache folder cannot take the expanded model.
    """
    listed = tuple(dict.fromkeys(names))
    model = find_model(settings, places, model_path, listed)
    prove(model, places)
    if model.origin is Origin.SHIPPED:
        _forget_old(model.path)
    return VoskRecogniser(model, after_hearing(listed, protected))


def after_hearing(names: Collection[str] = (), protected: Collection[str] = ()) -> list[Touch]:
    """What is done to words once they are final: names of the day first, then sound-alikes."""
    touches: list[Touch] = []
    if names:

        def named(words: Sequence[Word]) -> list[Word]:
            return find_names(words, names, protected)

        touches.append(named)
    touches.append(mend)
    return touches


def _forget_old(used: Path) -> None:
    """Remove expanded models with other names that were made over a day ago (100 MB each)."""
    for folder in used.parent.parent.iterdir():
        with contextlib.suppress(OSError):
            if folder != used.parent and time.time() - folder.stat().st_mtime > _KEEP_SECONDS:
                shutil.rmtree(folder, ignore_errors=True)
