"""The one place for settings: a small TOML file, every key optional."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, fields
from pathlib import Path
from typing import Any

from fieldlog.errors import ConfigError


@dataclass(frozen=True, slots=True)
class Settings:
    """What the farrier can set. Defaults suit a truck in the field."""

    model: str = ""
    """Path of a Vosk model folder; empty means: the user's models, then the shipped one."""
    second_reader: bool = True
    """Let a second reader check notes afterwards, where ``fieldlog[accurate]`` is installed."""
    second_model: str = ""
    """Folder of a CTranslate2 Whisper model; empty: the weights that were installed by pip."""
    microphone: str = ""
    """Name or number of the input device; empty means the system's default."""
    tones: bool = True
    """Short confirming tones while recording."""
    british_names: bool = False
    """Show feet as near fore, off hind... instead of left front, right hind."""
    cycle_weeks: int = 6
    """Weeks between visits unless a horse has its own (common practice, no source)."""
    lameness_scale: str = "aaep_0_5"
    """Scale assumed for a bare lameness grade; the assumption is always shown."""
    condition_scale: str = "henneke_1_9"
    """Scale assumed for a bare condition score; the assumption is always shown."""
    length_unit: str = ""
    """``in`` or ``mm`` for a length said without a unit; empty: concluded from the size."""
    farrier_name: str = ""
    """Printed on papers and in records."""
    farrier_contact: str = ""
    """Phone or address line printed on papers."""
    accept_above: float = 0.0
    """Confidence from which a fact without doubts counts as sure; 0: the calibrated default."""
    learn_from_looks: bool = True
    """Ask more or less often by what became of the facts that were looked at."""
    theme: str = "dark"
    """``dark`` or ``light``."""


_NAMES: dict[type, str] = {
    str: "text in quotation marks",
    int: "a whole number",
    float: "a number",
    bool: "true or false",
}


def load_settings(path: Path) -> Settings:
    """Read ``path``; a missing file gives the defaults.

    Raises:
        ConfigError: not TOML, an unknown key, or a value that means nothing.
    """
    if not path.exists():
        return Settings()
    raw = path.read_bytes()
    try:
        data = tomllib.loads(raw.decode("utf-8-sig"))
    except UnicodeDecodeError as problem:
        raise ConfigError(
            f"The settings file {path} is not plain UTF-8 text.",
            "Open it in an editor and save it with the encoding UTF-8, or move the file away to "
            "start with the defaults.",
        ) from problem
    except tomllib.TOMLDecodeError as problem:
        raise ConfigError(
            f"The settings file {path} cannot be read: {problem}.",
            "Correct that line, or move the file away to start with the defaults."
            + (_BACKSLASH if b"\\" in raw else ""),
        ) from problem
    return settings_from(data, path)


_BACKSLASH = " Write a folder's name with / or between single quotes: 'C:\\models\\mine'."
"""A path as Windows shows it is no TOML text in double quotes."""

_ONE_OF: dict[str, tuple[str, ...]] = {
    "lameness_scale": ("aaep_0_5", "uk_0_10"),
    "condition_scale": ("henneke_1_9", "bcs_0_5"),
    "length_unit": ("", "in", "mm"),
    "theme": ("dark", "light"),
}
_FROM_TO: dict[str, tuple[float, float]] = {"cycle_weeks": (1, 52), "accept_above": (0, 1)}


def _check_value(key: str, value: object, path: Path) -> None:
    """A value of the right type that means nothing would be taken for the default, unsaid.

    Raises:
        ConfigError: it is none of those that mean something.
    """
    if key in _ONE_OF and value not in _ONE_OF[key]:
        meant = ", ".join(f'"{one}"' for one in _ONE_OF[key])
        raise ConfigError(f"In {path}, “{key}” is {value!r}.", f"It can be {meant}.")
    if key in _FROM_TO and isinstance(value, (int, float)):
        least, most = _FROM_TO[key]
        if not least <= value <= most:
            raise ConfigError(f"In {path}, “{key}” is {value!r}.", f"It can be {least} to {most}.")


def settings_from(data: dict[str, Any], path: Path) -> Settings:
    """Settings from parsed TOML.

    Raises:
        ConfigError: an unknown key, or a value of the wrong type or without a meaning.
    """
    known = {f.name: type(f.default) for f in fields(Settings)}
    for key, value in data.items():
        if key not in known:
            raise ConfigError(
                f"The settings file {path} has an unknown key “{key}”.",
                f"Known keys: {', '.join(sorted(known))}.",
            )
        wanted = known[key]
        whole = wanted is float and isinstance(value, int) and not isinstance(value, bool)
        if not (whole or isinstance(value, wanted)) or (wanted is int and isinstance(value, bool)):
            raise ConfigError(
                f"In {path}, “{key}” must be {_NAMES[wanted]}, not {value!r}.",
                "Correct that line.",
            )
        _check_value(key, value, path)
    return Settings(**data)
