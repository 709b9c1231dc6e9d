"""The one place that knows where files live.

Everything can be moved with ``FIELDLOG_HOME`` (tests and the demo do), which then holds data,
settings and cache in one folder.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

import platformdirs

from fieldlog.errors import NotAllowed

APP = "fieldlog"


@dataclass(frozen=True, slots=True)
class Places:
    """Folders and files of one user (or of the demo)."""

    data: Path
    config: Path
    cache: Path

    @property
    def database(self) -> Path:
        return self.data / "fieldlog.db"

    @property
    def sounds(self) -> Path:
        """Recordings and imported sound, named by content hash."""
        return self.data / "sounds"

    @property
    def models(self) -> Path:
        """Speech models that the user dropped in or fetched."""
        return self.data / "models"

    @property
    def readings(self) -> Path:
        """Sentences that the farrier read aloud, for the recogniser to learn the voice."""
        return self.data / "readings"

    @property
    def own_voice(self) -> Path:
        """What was learnt of the farrier's voice."""
        return self.config / "own_voice.npz"

    @property
    def backups(self) -> Path:
        return self.data / "backups"

    @property
    def settings(self) -> Path:
        return self.config / "fieldlog.toml"

    @property
    def personal_rules(self) -> Path:
        """What the farrier taught: words, names, habits."""
        return self.config / "my_words.toml"

    def make(self) -> Places:
        """Create the folders, readable by their owner only.

        Raises:
            NotAllowed: the file system refuses.
        """
        for folder in (self.data, self.config, self.cache, self.sounds, self.models):
            try:
                folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            except OSError as problem:
                raise NotAllowed(
                    f"Cannot create the folder {folder}: {problem.strerror}.",
                    "Check its permissions, or set FIELDLOG_HOME to a folder you may write.",
                ) from problem
        return self


def places(home: Path | None = None) -> Places:
    """The folders of this user, or everything under ``home`` / ``FIELDLOG_HOME``."""
    set_home = os.environ.get("FIELDLOG_HOME", "").strip()
    chosen = home or (Path(set_home) if set_home else None)
    if chosen is not None:
        chosen = chosen.expanduser()
        return Places(data=chosen, config=chosen, cache=chosen / "cache")
    return Places(
        data=Path(platformdirs.user_data_dir(APP, appauthor=False)),
        config=Path(platformdirs.user_config_dir(APP, appauthor=False)),
        cache=Path(platformdirs.user_cache_dir(APP, appauthor=False)),
    )


def project_folder(name: str) -> Path | None:
    """A folder shipped beside or inside the package: ``models``, ``demo_audio``, ``demo_data``.

    In a checkout (or editable install) they lie beside the package; in an installed wheel they
    lie in ``fieldlog/_shipped``.
    """
    package = Path(__file__).resolve().parent
    for candidate in (package / "_shipped" / name, package.parent / name):
        if candidate.is_dir():
            return candidate
    return None
