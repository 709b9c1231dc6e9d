"""One invented note, and stores that hold it."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path

from fieldlog.core.facts import Due, Entry, Fact, FactKind, FootBasis, HorseMention, Passage
from fieldlog.core.feet import FRONTS, Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.core.words import Transcript, Word
from fieldlog.records.store import Store

AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


def note(horse: str = "Bramble", said: str = "sunny day") -> Entry:
    """A measure, a negated finding, a promise, and words that made no fact."""
    words = f"this is {horse} left front toe three and a quarter no thrush recheck in four weeks"
    text = f"{words} {said}"

    def span(part: str) -> tuple[int, int]:
        at = text.index(part)
        return at, at + len(part)

    toe = Fact(
        FactKind.MEASUREMENT,
        "toe_length",
        feet=(Foot.LF,),
        foot_basis=FootBasis.SAID,
        quantity=Quantity(3.25, Unit.INCH),
        span=span("left front toe three and a quarter"),
        sound=(1.0, 3.0),
    )
    clean = Fact(FactKind.FINDING, "thrush", feet=FRONTS, negated=True, span=span("no thrush"))
    promise = Fact(
        FactKind.FOLLOW_UP,
        "recheck",
        span=span("recheck in four weeks"),
        due=Due("in four weeks", "P4W", date(2026, 12, 23)),
    )
    return Entry(
        facts=(toe, clean, promise),
        text=text,
        span=(0, len(text)),
        horse=HorseMention(horse, span(horse)),
        passages=(Passage(span(said), said),),
    )


def heard(text: str) -> Transcript:
    """The words of a text, half a second each."""
    words = tuple(Word(w, i / 2, i / 2 + 0.5) for i, w in enumerate(text.split()))
    return Transcript(words, reader="test reader")


def keep_sound(store: Store, folder: Path, content: bytes) -> str:
    """A sound file with this content, named by its hash; the recording's id."""
    import hashlib

    digest = hashlib.sha256(content).hexdigest()
    path = folder / "sounds" / f"{digest}.wav"
    path.parent.mkdir(exist_ok=True, mode=0o700)
    path.write_bytes(content)
    return store.add_recording(digest, path, 5.0, AT, "clock", "n.wav").id
