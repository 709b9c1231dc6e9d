"""The second reader on the demo day: disputes, who was right, work per second of sound.

``python -m tests.bench.bench_second`` (needs fieldlog[accurate] and weights; minutes on two cores).
A dispute counts as the first reader's error where its words stand against other words in the
script that was spoken, aligned by difflib. ``--list`` prints each.
"""

from __future__ import annotations

import argparse
import difflib
import shutil
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from rapidfuzz.distance import Levenshtein

from fieldlog.cli.demo_commands import judge, plant
from fieldlog.cli.demo_day import load_day
from fieldlog.cli.demo_report import Report
from fieldlog.cli.scoring import words_of
from fieldlog.config import Settings
from fieldlog.core import disputes
from fieldlog.core.words import Transcript
from fieldlog.intake import Taken, take_in
from fieldlog.paths import Places, places, project_folder
from fieldlog.records.store import Store
from fieldlog.records.types import Recording
from fieldlog.rereading import read_again, reading_of, take_other, waiting
from fieldlog.speech.second_apart import SecondReader, open_second


def wrong_words(heard: Transcript, script: str) -> set[int]:
    """Numbers of heard words that the script does not have there; also those beside a gap."""
    a, b = [w.text.lower() for w in heard.words], words_of(script)
    out: set[int] = set()
    for tag, a0, a1, _, _ in difflib.SequenceMatcher(a=a, b=b, autojunk=False).get_opcodes():
        if tag == "insert":
            out |= {max(a0 - 1, 0)}
        elif tag != "equal":
            out |= set(range(a0, a1))
    return out


def take_the_better(
    store: Store, recording: Recording, script: list[str], here: Places, settings: Settings
) -> int:
    """Do what a farrier does who hears who was right; returns how often the key was pressed."""
    pressed = 0
    refused: set[tuple[str, str]] = set()
    while True:
        asked = [
            (stored, fact_id, one)
            for stored in store.entries_from(recording.id)
            if (words := reading_of(store, recording.id, stored.entry.text)) is not None
            for fact_id, found in disputes.concerning(stored.entry, words, stored.looked_at).items()
            for one in found
            if (one.ours, one.theirs) not in refused
        ]
        if not asked:
            return pressed
        stored, fact_id, one = asked[0]
        refused.add((one.ours, one.theirs))
        take_other(store, stored.id, fact_id, here, settings, one)
        new = store.entry(stored.id).entry.text
        if Levenshtein.distance(new.split(), script) < Levenshtein.distance(
            stored.entry.text.split(), script
        ):
            pressed += 1
        else:
            store.undo(stored.id)


@dataclass
class Tally:
    """Counts over the notes of a day."""

    listing: bool = False
    """Print each dispute on which facts hang."""
    differing: int = 0
    at_stake: int = 0
    first_wrong: int = 0
    """Disputes on which facts hang and in which the first reader was wrong."""
    errors: int = 0
    """Words wrong by the first reader."""
    missed: int = 0
    """Those of them that stand in no dispute."""
    keys: int = 0
    hearing: float = 0.0
    """Seconds that the second reader worked."""

    def count(self, name: str, words: Transcript, script: str) -> None:
        """Hold one note's disputes against its script."""
        wrong, found = wrong_words(words, script), disputes.stretches(words)
        self.errors += len(wrong)
        self.differing += len(found)
        self.missed += len(wrong - {i for s in found for i in range(*s.words)})
        for one in found:
            if one.at_stake:
                is_wrong = bool(wrong & set(range(*one.words)))
                self.at_stake += 1
                self.first_wrong += is_wrong
                if self.listing:
                    who = "first was wrong" if is_wrong else "first was right"
                    print(f"  {name[:3]} {one}: {who}")


def heard_twice(
    store: Store,
    second: SecondReader,
    scripts: dict[str, str],
    here: Places,
    settings: Settings,
    tally: Tally,
) -> list[Taken]:
    """Let the second reader read what waits; the notes with what was better taken from it."""
    better: list[Taken] = []
    for recording in waiting(store, second.reader):
        start = time.perf_counter()
        done = read_again(store, recording, second, here, settings)
        tally.hearing += time.perf_counter() - start
        if done.error is not None:
            sys.exit(str(done.error))
        (text,) = {e.entry.text for e in store.entries_from(recording.id)}
        words = reading_of(store, recording.id, text)
        assert words is not None
        script = scripts[recording.original_name.split("-")[0]]
        tally.count(recording.original_name, words, script)
        tally.keys += take_the_better(store, recording, words_of(script), here, settings)
        newest = store.transcripts(recording.id)[0]
        drafts = tuple(store.entries_from(recording.id))
        better.append(Taken(recording.original_name, recording, newest, drafts))
    return better


def print_tally(tally: Tally, before: Report, after: Report) -> None:
    """What the readers differ in, and what the facts gain where the better one is taken."""
    first_right = tally.at_stake - tally.first_wrong
    print(
        f"places where the readers differ: {tally.differing}; "
        f"a fact hangs on {tally.at_stake} of them"
    )
    print(f"of those the first reader was wrong in {tally.first_wrong}, right in {first_right}")
    print(
        f"words wrong by the first reader: {tally.errors}; outside of all disputes: {tally.missed}"
    )
    print(f"pressing o where that makes fewer word errors ({tally.keys} times):")
    for name in ("fact", "whole fact"):
        was, now = before.facts.fields[name], after.facts.fields[name]
        print(f"  {name}: right {was.right} -> {now.right} of {was.meant}, "
              f"written down {was.said} -> {now.said}")  # fmt: skip


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument(
        "--list", action="store_true", help="print each dispute on which facts hang"
    )
    tally = Tally(listing=parser.parse_args().list)
    data, audio = project_folder("demo_data"), project_folder("demo_audio")
    if data is None or audio is None:
        sys.exit("the demo's folders are not here")
    day = load_day(data)
    home = Path(tempfile.mkdtemp(prefix="second"))
    here, settings = places(home).make(), Settings()
    second = open_second(settings, here)
    with Store.open(here.database) as store:
        plant(store, day)
        began = time.perf_counter()
        taken = list(take_in([audio], store, here, settings))
        second_began = time.perf_counter()
        scripts = {note.id: note.text for note in day.notes}
        better = heard_twice(store, second, scripts, here, settings, tally)
        second.close()
    _, before = judge(day, taken, settings)
    _, after = judge(day, better, settings)
    shutil.rmtree(home)
    sound = sum(t.recording.duration for t in taken if t.recording is not None)
    print(f"{second.reader}: {sound:.0f} s of sound in {len(taken)} notes")
    print_tally(tally, before, after)
    first, all_told = second_began - began, time.perf_counter() - second_began
    print(f"work per second of sound: first reader with understanding {first / sound:.2f} s, "
          f"second {tally.hearing / sound:.2f} s (in all {all_told:.0f} s)")  # fmt: skip


if __name__ == "__main__":
    main()
