"""Ten years of a busy practice: ``python tests/bench/bench_practice.py [--share 0.1] [--keep DB]``.

Generates 400 horses, 25,000 visits and 400,000 facts through the store's own doors (drafts, then
saved), then times what a farrier waits for, each against the floor: the barest sqlite3 query that
touches the same rows. Prints medians and ratios; judges nothing.
"""

from __future__ import annotations

import argparse
import random
import sqlite3
import statistics
import tempfile
import time
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path

from fieldlog.core.facts import Due, Entry, Fact, FactKind, FootBasis, HorseMention, Severity
from fieldlog.core.feet import ALL_FEET
from fieldlog.core.units import Quantity, Unit
from fieldlog.records.store import Store

HORSES, VISITS, FACTS = 400, 25_000, 16
TODAY = date(2026, 11, 25)
FINDINGS = ("thrush", "flare", "crack", "bruise", "white_line_separation", "underrun", "normal")
WORK = ("trim", "reset", "shoe", "roll_toe", "pull")


def note(chance: random.Random, horse: str, day: date) -> Entry:
    """One note of sixteen facts."""
    facts: list[Fact] = []
    text = f"this is {horse.lower()}"

    def say(words: str) -> tuple[int, int]:
        nonlocal text
        start = len(text) + 1
        text = f"{text} {words}"
        return start, len(text)

    for foot in ALL_FEET:
        length = Quantity(82 + chance.random() * 14, Unit.MM)
        facts.append(
            Fact(FactKind.MEASUREMENT, "toe_length", (foot,), FootBasis.SAID, quantity=length,
                 span=say(f"{foot.american} toe {length.value:.0f}"))
        )  # fmt: skip
    for _ in range(7):
        code, foot = chance.choice(FINDINGS), chance.choice(ALL_FEET)
        facts.append(
            Fact(FactKind.FINDING, code, (foot,), FootBasis.SAID, negated=chance.random() < 0.4,
                 severity=chance.choice((None, Severity.MILD)),
                 span=say(f"{code.replace('_', ' ')} on the {foot.american}"))
        )  # fmt: skip
    for _ in range(4):
        code = chance.choice(WORK)
        facts.append(Fact(FactKind.WORK, code, ALL_FEET, FootBasis.SAID, span=say(code)))
    due = Due("in six weeks", "P6W", on=day + timedelta(weeks=6))
    facts.append(Fact(FactKind.FOLLOW_UP, "next_trim", due=due, span=say("next trim in six weeks")))
    mention = HorseMention(horse, (0, 0), known=True)
    return Entry(tuple(facts), text, (0, len(text)), mention)


def fill(store: Store, share: float) -> None:
    """Clients, horses, and visits spread over ten years."""
    chance = random.Random(1)
    horses, visits = max(4, int(HORSES * share)), max(40, int(VISITS * share))
    with store.write():
        for n in range(max(1, horses // 4)):
            store.add_client(f"Client {n}", phone=f"555 {n:04}")
        clients = store.clients()
        names = [f"Horse{n:03}" for n in range(horses)]
        for n, name in enumerate(names):
            store.add_horse(name, client_id=clients[n % len(clients)].id, barn=f"Barn {n % 40}")
    began = time.perf_counter()
    done = 0
    for start in range(0, visits, 500):
        with store.write():
            for n in range(start, min(start + 500, visits)):
                day = TODAY - timedelta(days=int(3650 * (1 - n / visits)) + 1)
                at = datetime.combine(day, datetime.min.time()).astimezone()
                entry = note(chance, names[n % horses], day)
                (draft,) = store.add_drafts(None, [entry], at=at)
                store.save_entry(draft.id)
                done += len(entry.facts)
    took = time.perf_counter() - began
    print(f"{horses} horses, {visits} visits, {done} facts in {took:.0f} s "
          f"({visits / took:.0f} visits a second, drafts and saving)")  # fmt: skip


def median(job: Callable[[], object], runs: int = 15) -> float:
    """Milliseconds, the first run left out."""
    job()
    times = []
    for _ in range(runs):
        began = time.perf_counter()
        job()
        times.append(time.perf_counter() - began)
    return statistics.median(times) * 1000


def measure(store: Store, path: Path) -> None:
    """The jobs and their floors."""
    raw = sqlite3.connect(path)
    horse = store.horses()[1]

    def floor(sql: str, *values: object) -> Callable[[], object]:
        return lambda: raw.execute(sql, values).fetchall()

    fts = """SELECT s.* FROM said s JOIN said_fts f ON f.rowid = s.id
             WHERE said_fts MATCH ? ORDER BY f.rowid DESC LIMIT 200"""
    jobs: list[tuple[str, float, Callable[[], object], Callable[[], object]]] = [
        ("search: one word", 30, lambda: store.search("bruise", TODAY), floor(fts, "bruise")),
        ("search: words and filters", 30,
         lambda: store.search("white line separation foot:front since:2026-03-01", TODAY),
         floor(fts, '"white line separation"')),
        ("search: filters only", 30,
         lambda: store.search(f"horse:{horse.name} finding:thrush foot:LF", TODAY),
         floor("""SELECT * FROM saved_facts INDEXED BY saved_facts_horse
                  WHERE horse_id = ? AND code = 'thrush' ORDER BY day DESC""", horse.id)),
        ("horse page", 50, lambda: store.page(horse.id),
         floor("SELECT * FROM saved_facts WHERE horse_id = ? ORDER BY day DESC", horse.id)),
        ("due list: visits", 100, lambda: store.visits_due(until=TODAY + timedelta(days=7)),
         floor("SELECT horse_id, max(day) FROM visits GROUP BY horse_id")),
        ("due list: follow-ups", 100, lambda: store.follow_ups(),
         floor("SELECT * FROM follow_ups WHERE state = 'open' ORDER BY due")),
        ("one horse's history", 50, lambda: store.saved_facts(horse.id),
         floor("SELECT * FROM saved_facts WHERE horse_id = ? ORDER BY day DESC", horse.id)),
    ]  # fmt: skip
    print(f"{'job':30} {'median':>9} {'wanted':>8} {'floor':>9} {'ratio':>6}")
    for name, wanted, job, bare in jobs:
        took, least = median(job), median(bare)
        print(f"{name:30} {took:6.1f} ms {wanted:5.0f} ms {least:6.2f} ms {took / least:6.1f}")
    began = time.perf_counter()
    report = store.verify_chain()
    print(f"chain of {report.links} links verified in {time.perf_counter() - began:.1f} s: "
          f"{'whole' if report.ok else report.first_broken}")  # fmt: skip
    raw.close()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--share", type=float, default=1.0, help="part of the full practice")
    parser.add_argument("--keep", type=Path, help="keep (or use) the database here")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = chosen.keep or Path(folder) / "fieldlog.db"
        there = path.exists()
        with Store.open(path) as store:
            if not there:
                fill(store, chosen.share)
            print(f"database: {path.stat().st_size / 1e6:.0f} MB")
            measure(store, path)
        began = time.perf_counter()
        with Store.open(path):
            pass
        print(f"opening the store again: {(time.perf_counter() - began) * 1000:.0f} ms")


if __name__ == "__main__":
    main()
