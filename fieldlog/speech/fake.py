"""A recogniser with a script instead of ears, for tests and for trying the screens.

It is shipped so that nobody has to patch fieldlog in a test, and it is never the default.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from fieldlog.core.words import Transcript, Word
from fieldlog.errors import SpeechError
from fieldlog.sound.pcm import BYTES_PER_SECOND
from fieldlog.speech.recogniser import check_fed


class FakeRecogniser:
    """Hears the scripted words as the sound passes their end, whatever the sound is.

    As with a real reader, words become final at a pause.
    """

    def __init__(
        self, words: Iterable[Word] = (), reader: str = "fake/script", pause: float = 0.5
    ) -> None:
        """Take the script.

        Args:
            words: in time order, seconds from the start of the note.
            reader: what to call itself.
            pause: seconds without words that make what came before final.
        """
        self._reader = reader
        self._pause = pause
        self._waiting = [replace(w, reader=w.reader or reader) for w in words]
        self._heard: list[Word] = []
        self._bytes = 0
        self._done: Transcript | None = None

    @classmethod
    def saying(
        cls, text: str, pace: float = 0.4, start: float = 0.2, confidence: float = 0.95
    ) -> FakeRecogniser:
        """A script from plain text, one word every ``pace`` seconds."""
        return cls(
            Word(word, start + pace * i, start + pace * (i + 0.9), confidence)
            for i, word in enumerate(text.split())
        )

    @property
    def reader(self) -> str:
        return self._reader

    def feed(self, pcm: bytes) -> list[Word]:
        check_fed(pcm, self._done is not None)
        self._bytes += len(pcm)
        now = self._bytes / BYTES_PER_SECOND
        final: list[Word] = []
        for number, word in enumerate(self._waiting):
            after = self._waiting[number + 1 :]
            silent_until = min(now, after[0].start) if after else now
            if word.end + self._pause <= silent_until:
                final = self._waiting[: number + 1]
        self._waiting = self._waiting[len(final) :]
        self._heard += final
        return final

    def partial(self) -> str:
        now = self._bytes / BYTES_PER_SECOND
        return " ".join(w.text for w in self._waiting if w.start <= now)

    def finish(self) -> Transcript:
        """The words whose sound was fed; without any sound, the whole script."""
        if self._done is None:
            now = self._bytes / BYTES_PER_SECOND
            self._heard += [w for w in self._waiting if not self._bytes or w.end <= now]
            duration = now or max((w.end for w in self._heard), default=0.0)
            self._done = Transcript(tuple(self._heard), self._reader, duration)
        return self._done


class FakeSecond:
    """A second reader with a script for each sound file, known by its name.

    It hears ``else_says`` in every other file; without that it fails, as a real one may.
    """

    def __init__(
        self, says: Mapping[str, str], else_says: str | None = None, reader: str = "fake/second"
    ) -> None:
        """Take the scripts.

        Args:
            says: the words of a note by the name of its sound file.
            else_says: what is heard in all others; None: reading them fails.
            reader: what to call itself.
        """
        self._says = dict(says)
        self._else = else_says
        self._reader = reader
        self.asked: list[Path] = []
        """Files that were read, in order."""
        self.closed = False

    @property
    def reader(self) -> str:
        return self._reader

    def read(self, sound: Path, names: Sequence[str] = ()) -> Transcript:
        self.asked.append(sound)
        text = self._says.get(sound.name, self._else)
        if text is None:
            raise SpeechError("The second reader failed.", "The first reader's words stay.")
        note = FakeRecogniser.saying(text, confidence=0.9).finish()
        words = tuple(replace(w, reader=self._reader) for w in note.words)
        return replace(note, words=words, reader=self._reader)

    def close(self) -> None:
        self.closed = True
