"""Everything that can go wrong and is worth a sentence to the farrier.

The tree (a handler may catch at any height)::

    FieldlogError                 exit 1
    ├── SoundError
    │   ├── UnreadableSound       a file that is empty, damaged or not sound
    │   ├── NoMicrophone          no input device, or the named one is gone
    │   ├── NoLoudspeaker         nothing to play through
    │   └── DiskFull              the recording can no longer be written
    ├── SpeechError
    │   ├── ModelMissing          no model folder where one was asked for
    │   ├── ModelDamaged          a folder that is there but cannot be used
    │   └── DownloadFailed        offline, refused, or the checksum differs
    ├── RecordsError
    │   ├── DatabaseTooNew        written by a newer fieldlog
    │   ├── DatabaseDamaged       SQLite or the chain check says so
    │   ├── DatabaseBusy          another window holds the lock too long
    │   ├── NotAllowed            the file system refuses us
    │   ├── NotFound              no such horse, visit, entry, follow-up
    │   └── SavedIsFixed          a saved entry changes only by a new revision
    ├── InputError                exit 2: what was typed or given makes no sense
    │   ├── BadIdentity           microchip or UELN that fails its rules
    │   └── BadImport             a file whose rows do not fit
    └── ConfigError               the settings file

Each error carries two sentences: ``message`` says what happened, ``remedy`` what to do.
"""

from __future__ import annotations


class FieldlogError(Exception):
    """Base of all errors that are shown to the farrier without a traceback."""

    exit_code = 1

    def __init__(self, message: str, remedy: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy

    def __str__(self) -> str:
        return f"{self.message} {self.remedy}".strip()


class SoundError(FieldlogError):
    """Something about recording, playing or reading sound."""


class UnreadableSound(SoundError):
    """A sound file that is empty, damaged, or not sound at all."""


class NoMicrophone(SoundError):
    """No input device, or the chosen one went away."""


class NoLoudspeaker(SoundError):
    """No output device to play sound through."""


class DiskFull(SoundError):
    """The disk cannot take more; what was written before stays."""


class SpeechError(FieldlogError):
    """Something about the recogniser or its model."""


class ModelMissing(SpeechError):
    """No model folder where one was asked for."""


class ModelDamaged(SpeechError):
    """A model folder that exists but cannot be used."""


class DownloadFailed(SpeechError):
    """A model could not be fetched; nothing half-fetched is ever used."""


class OpinionDamaged(FieldlogError):
    """The network of the second opinion is there, but cannot be loaded."""


class RecordsError(FieldlogError):
    """Something about the database."""


class DatabaseTooNew(RecordsError):
    """The database was written by a newer fieldlog."""


class DatabaseDamaged(RecordsError):
    """SQLite or the chain check found damage."""


class DatabaseBusy(RecordsError):
    """Another process held the write lock longer than we wait."""


class NotAllowed(RecordsError):
    """The file system refused to read or write."""


class NotFound(RecordsError):
    """The asked-for thing is not in the database."""


class SavedIsFixed(RecordsError):
    """A saved entry was about to be changed in place."""


class InputError(FieldlogError):
    """What was typed or given makes no sense."""

    exit_code = 2


class BadIdentity(InputError):
    """A microchip or UELN that fails its published rules."""


class BadImport(InputError):
    """A file to import whose content does not fit."""


class ConfigError(FieldlogError):
    """The settings file is wrong."""

    exit_code = 2
