"""Two processes write, one reads: ``FIELDLOG_SECONDS=180`` for the long run."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

from fieldlog.records.store import Store

SECONDS = float(os.environ.get("FIELDLOG_SECONDS", "2"))

WRITER = """
import sys, time
from pathlib import Path
from fieldlog.records.store import Store
from tests.records.notes import AT, note
end = time.monotonic() + float(sys.argv[2])
count = 0
with Store.open(Path(sys.argv[1]), author="Ada Quill") as store:
    while time.monotonic() < end:
        (draft,) = store.add_drafts(None, [note()], at=AT)
        store.save_entry(draft.id)
        count += 1
print(count)
"""

READER = """
import resource, sys, time
from pathlib import Path
from fieldlog.records.store import Store
end = time.monotonic() + float(sys.argv[2])
count = links = 0
with Store.open(Path(sys.argv[1])) as store:
    while time.monotonic() < end:
        report = store.verify_chain()
        saved = len(store.search("not:thrush", limit=100000))
        if not report.ok or report.links < links or saved < report.links:
            raise SystemExit(f"{report} after {links}, {saved} found")
        links = report.links
        count += 1
print(count, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def test_two_write_and_one_reads(tmp_path: Path) -> None:
    path = tmp_path / "f.db"
    with Store.open(path) as store:
        store.add_horse("Bramble")
    began = time.monotonic()
    running = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(path), str(SECONDS)],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for code in (WRITER, WRITER, READER)
    ]
    answers = [p.communicate(timeout=SECONDS + 60) for p in running]
    assert [p.returncode for p in running] == [0, 0, 0], answers
    first, second = int(answers[0][0]), int(answers[1][0])
    reads, memory = (int(x) for x in answers[2][0].split())
    with Store.open(path) as store:
        assert store.integrity() == []
        report = store.verify_chain()
        assert (report.ok, report.links) == (True, first + second)
        assert min(first, second, reads) > 0
        assert {h.fact_id for h in store.search("not:thrush", limit=100_000)} != {""}
    print(
        f"{first} + {second} saves beside {reads} reads in {time.monotonic() - began:.0f} s, "
        f"reader {memory / 1024:.0f} MB"
    )
