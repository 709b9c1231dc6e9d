"""From settings to a recogniser that is ready to hear."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from fieldlog.config import Settings
from fieldlog.paths import Places
from fieldlog.speech.models import find_model, prove
from fieldlog.speech.recogniser import Recogniser
from fieldlog.speech.vosk_reader import VoskRecogniser


def open_recogniser(
    settings: Settings,
    places: Places,
    model_path: Path | str | None = None,
    names: Iterable[str] = (),
) -> Recogniser:
    """A fresh recogniser for one note. The model is loaded once per process.

    Args:
        settings: the farrier's.
        places: where the models and the cache lie.
        model_path: a model folder asked for on the command line; empty for the usual search.
        names: horses, owners and barns of the day, to be recognised as well.

    Raises:
        ModelMissing: no model, or not the one asked for.
        ModelDamaged: it lacks files or does not load.
    """
    model = find_model(settings, places, model_path)
    prove(model, places)
    return VoskRecogniser(model)
