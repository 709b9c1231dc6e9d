"""One invented morning in a real database: three notes, three horses, one of them not named.

The entries are made by hand, so that each doubt and each box is there; nothing is mocked but the
loudspeaker.
"""

from __future__ import annotations

import hashlib
import wave
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

from fieldlog.app.desk import Desk
from fieldlog.config import Settings
from fieldlog.core.facts import (
    Comparison,
    Due,
    Entry,
    Fact,
    FactKind,
    FootBasis,
    HorseMention,
    Passage,
    Reading,
    Severity,
    SpokenCorrection,
    Trend,
)
from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.core.words import Transcript, Word
from fieldlog.paths import Places, places
from fieldlog.records.store import Store
from fieldlog.sound.clocks import RELEASED
from fieldlog.sound.player import FakePlayer

TODAY = date(2026, 11, 25)
ZONE = timezone(timedelta(hours=-6))

JUNIPER = (
    "juniper trimmed all four left front toe three and a quarter fifty two degrees right front "
    "toe three and a quarter hinds are good no thrush she stood well recheck in four weeks"
)
COPPER = (
    "copper pulled the fronts left front toe three and a half heel forty five against a fifty "
    "toe right front three and five eighths scratch that three and a half bit of rush in the "
    "frog he was something about the gate"
)
UNNAMED = "nail in the sole off hind left it in call the vet today"


def heard(
    text: str, unsure: Sequence[str] = (), changed: Sequence[tuple[str, str]] = ()
) -> Transcript:
    """Words as a recogniser would give them, 0.4 seconds each."""
    mended = dict(changed)
    words = []
    for i, text_word in enumerate(text.split()):
        word = Word(text_word, i * 0.4, i * 0.4 + 0.35, 0.95, reader="fake/script")
        if text_word in unsure:
            word = replace(word, confidence=0.4)
        if text_word in mended:
            word = word.shown_as(mended[text_word], "homophones")
        words.append(word)
    return Transcript(tuple(words), "fake/script", len(words) * 0.4)


def said(transcript: Transcript, words: str, fact: Fact, name: str) -> Fact:
    """``fact`` with the place of ``words`` in the note, and a fixed id."""
    start = transcript.text.index(words)
    span = (start, start + len(words))
    return replace(fact, id=name, span=span, sound=transcript.sound_span(*span), confidence=0.95)


def inches(value: float, foot: Foot, inferred: bool = False) -> Fact:
    """A toe length."""
    return measured("toe_length", value, Unit.INCH, foot, inferred=inferred)


def measured(code: str, value: float, unit: Unit, *feet: Foot, inferred: bool = False) -> Fact:
    quantity = Quantity(value, unit, unit_inferred=inferred)
    return Fact(FactKind.MEASUREMENT, code, feet, FootBasis.SAID, quantity=quantity, rule="measure")


def seen(code: str, *feet: Foot, **more: object) -> Fact:
    basis = FootBasis.SAID if feet else FootBasis.WHOLE_HORSE
    made = Fact(FactKind.FINDING, code, feet, basis, rule=f"lexicon:{code}")
    return replace(made, **more)  # type: ignore[arg-type]


def done(code: str, *feet: Foot) -> Fact:
    return Fact(FactKind.WORK, code, feet, FootBasis.SAID, rule=f"lexicon:{code}")


def juniper() -> tuple[Transcript, Entry]:
    """Nothing to look at."""
    t = heard(JUNIPER)
    facts = (
        said(t, "trimmed all four", done("trim", *ALL_FEET), "j-trim"),
        said(t, "toe three and a quarter", inches(3.25, Foot.LF), "j-lf"),
        said(t, "fifty two degrees", measured("toe_angle", 52, Unit.DEGREE, Foot.LF), "j-angle"),
        said(t, "right front toe three and a quarter",
             inches(3.25, Foot.RF), "j-rf"),
        said(t, "no thrush", seen("thrush", *HINDS, negated=True), "j-thrush"),
        said(t, "stood well", Fact(FactKind.HANDLING, "stood_well"), "j-stood"),
        said(t, "recheck in four weeks",
             Fact(FactKind.FOLLOW_UP, "recheck", details={"who": "farrier"},
                  due=Due("in four weeks", "P4W", on=date(2026, 12, 23))), "j-recheck"),
    )  # fmt: skip
    mention = HorseMention("juniper", (0, 7), known=True)
    return t, Entry(facts, t.text, (0, len(t.text)), mention, id="entry-juniper")


def copper() -> tuple[Transcript, Entry]:
    """Three things to look at: a foot, a unit, a changed word."""
    t = heard(COPPER, unsure=("eighths", "gate"), changed=(("rush", "thrush"),))
    toe = said(t, "toe three and a half", inches(3.5, Foot.LF, inferred=True),
               "c-toe")  # fmt: skip
    thrush = said(
        t, "bit of thrush in the frog", seen("thrush", severity=Severity.MILD), "c-thrush"
    )
    before = inches(3.625, Foot.RF)
    after = said(t, "scratch that three and a half", inches(3.5, Foot.RF),
                 "c-rf")  # fmt: skip
    facts = (
        said(t, "pulled the fronts", done("pull", *FRONTS), "c-pull"),
        replace(
            toe.with_doubt("unit_inferred", "The unit was not spoken; inches fit the size."),
            readings=(
                Reading("3 1/4 in", {"quantity": {"value": 3.25, "unit": "in"}}),
                Reading("heel length 3 1/2 in", {"code": "heel_length"}),
            ),
            why_foot="“left front” was said just before.",
        ),
        said(t, "heel forty five", measured("heel_angle", 45, Unit.DEGREE, Foot.LF), "c-heel"),
        said(t, "fifty toe", measured("toe_angle", 50, Unit.DEGREE, Foot.LF), "c-angle"),
        after,
        replace(thrush, foot_basis=FootBasis.UNSTATED)
        .with_doubt("foot_unstated", "No foot was named for this.")
        .with_doubt("changed_word", "“rush” was heard; “thrush” fits the words around it."),
    )
    gate = t.text.index("he was something")
    return t, Entry(
        facts,
        t.text,
        (0, len(t.text)),
        HorseMention("copper", (0, 6), known=True),
        (Passage((gate, len(t.text)), t.text[gate:]),),
        (SpokenCorrection((t.text.index("scratch"), t.text.index("scratch") + 12), "replace_value",
                          (before,), (after,)),),
        id="entry-copper",
    )  # fmt: skip


def unnamed() -> tuple[Transcript, Entry]:
    """No horse is named, and a veterinarian is needed."""
    t = heard(UNNAMED)
    facts = (
        said(t, "nail in the sole off hind", seen("penetrating_object", Foot.RH), "n-nail"),
        said(t, "call the vet today",
             Fact(FactKind.FOLLOW_UP, "vet_visit", (Foot.RH,), FootBasis.CARRIED,
                  due=Due("today", "", on=TODAY),
                  details={"who": "vet", "urgent": "yes"}), "n-vet"),
    )  # fmt: skip
    return t, Entry(
        facts, t.text, (0, len(t.text)), red_flags=("penetrating_object",), id="entry-unnamed"
    )


def home(folder: Path) -> Places:
    """The folders of the tests."""
    return places(folder / "home").make()


def sound_file(where: Places, name: str, seconds: float) -> tuple[Path, str]:
    """A real (quiet) WAV in the sounds folder, and its hash."""
    path = where.sounds / f"{name}.wav"
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(16000)
        out.writeframes(name.encode().ljust(2, b"\0")[:2] * round(16000 * seconds))
    return path, hashlib.sha256(path.read_bytes()).hexdigest()


def fill(store: Store, where: Places) -> None:
    """Known horses, three drafts, and two earlier visits of one horse."""
    ellery = store.add_client("Marta Ellery")
    whitcombe = store.add_client("Dan Whitcombe")
    juno = store.add_horse("Juniper", client_id=ellery.id, barn="Alder Creek", colour="bay",
                           sex="mare", born="2017", cycle_weeks=6)  # fmt: skip
    store.add_horse("Copper", client_id=whitcombe.id, barn="Alder Creek",
                    caution="kicks behind; have two people")  # fmt: skip
    store.add_horse("Bramble", client_id=whitcombe.id, barn="Stony Ridge")
    for n, (made, clock) in enumerate(
        ((juniper(), (7, 52)), (copper(), (8, 20)), (unnamed(), (10, 34)))
    ):
        transcript, entry = made
        path, sha = sound_file(where, f"note{n}", transcript.duration)
        started = datetime(2026, 11, 25, *clock, tzinfo=ZONE)
        recording = store.add_recording(sha, path, transcript.duration, started, "clock", path.name)
        store.store_transcript(recording.id, transcript)
        store.add_drafts(recording.id, [entry])
    for day, left, right in ((date(2026, 9, 2), 3.5, 3.4375), (date(2026, 10, 14), 3.375, 3.25)):
        earlier(store, juno.id, day, left, right)


def earlier(store: Store, horse_id: str, day: date, left: float, right: float) -> None:
    """A saved visit with toe lengths and a flare that gets better."""
    facts: tuple[Fact, ...] = (
        inches(left, Foot.LF),
        inches(right, Foot.RF),
        seen("flare", Foot.LF, places=("lateral_quarter",), comparison=Comparison(Trend.BETTER)),
        done("trim", *ALL_FEET),
    )
    text = "toes measured flare on the outside of the left front trimmed all four"
    facts = tuple(replace(f, span=(0, len(text)), id=f"{day}-{i}") for i, f in enumerate(facts))
    entry = Entry(facts, text, (0, len(text)), HorseMention("juniper", (0, 0), known=True),
                  id=f"entry-{day}")  # fmt: skip
    at = datetime(day.year, day.month, day.day, 9, 0, tzinfo=ZONE)
    store.add_drafts(None, [entry], at)
    store.assign_horse(entry.id, horse_id)
    store.save_entry(entry.id)


def desk_at(where: Places, theme: str = "dark", player: FakePlayer | None = None) -> Desk:
    """A desk over the test's database."""
    return Desk(
        where,
        Settings(theme=theme, accept_above=0.8),
        player=player or FakePlayer(),
        today=lambda: TODAY,
        # A machine whose own clock is behind draws the same pictures.
        now=lambda: max(datetime.now(UTC), RELEASED),
    )
