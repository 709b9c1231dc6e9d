"""One table of every reader on every test set.

    python evaluate.py WORK --people FOLDER --row NAME=SPEC[,general=FOLDER][,every=N] ...

SPEC: ``packed:FOLDER`` (ours, expanded first), ``vosk:FOLDER``, ``pocketsphinx``,
``whisper:FOLDER``. ``general=FOLDER`` names the same acoustic model with the general graph, used on
set (a). Sets are made once in WORK/sets; results stay in WORK/results, so a row is only run again
when its folder changes or with ``--again``. Prints Markdown.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(HERE), str(ROOT), str(ROOT / "models" / "graph")]

from models.inputs import asking, existing, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "models/README.md", "jiwer", "vosk")

import scores  # noqa: E402
import sets  # noqa: E402

from fieldlog.speech.shipped import describe, ensure_expanded  # noqa: E402

GENERAL = ("a-librispeech", "b-speechocean")
OURS = ("c-clean", "c-20dB", "c-10dB", "c-5dB", "c-numbers", "d-demo")
KINDS = {"packed": True, "vosk": True, "whisper": True, "pocketsphinx": False}
"""The readers, and whether a folder belongs to them."""
SPECS = [f"{kind}:FOLDER" if folder else kind for kind, folder in KINDS.items()]
Sets = dict[str, list[sets.Item]]
"""What was said, by the name of the set."""


def size(folder: Path) -> float:
    """Megabytes on disk."""
    return sum(p.stat().st_size for p in folder.rglob("*") if p.is_file()) / 1e6


def run(spec: str, every: int, names: list[str], work: Path, again: bool) -> dict[str, Any]:
    """Results of one reader over some sets, from the kept file where there is one."""
    key = hashlib.sha256(json.dumps([spec, every, names]).encode()).hexdigest()[:12]
    out = work / "results" / f"{key}.json"
    if again or not out.is_file():
        out.parent.mkdir(parents=True, exist_ok=True)
        command = [sys.executable, str(HERE / "readers.py"), spec, str(every)]
        command += [str(work / "sets"), str(out)]
        subprocess.run([*command, *names], check=True)
    facts: dict[str, Any] = json.loads(out.read_text("utf-8"))
    return facts


def phone_errors(folder: Path, items: list[sets.Item], lexicon: Any) -> scores.Score:
    """Greedy phones of a packed model against the first pronunciation of each word."""
    import phones_heard

    from fieldlog.speech.shipped import read_network

    facts = describe(folder)
    net = read_network(folder, facts)
    lines = (folder / "conf" / "mfcc.conf").read_text("ascii").split()
    options = {k: float(v) for k, v in (x[2:].split("=") for x in lines) if v[0].isdigit()}
    said, heard = [], []
    for item in items:
        said.append(" ".join(p for w in item.said.split() for p in lexicon(w)[0]))
        log_probs = phones_heard.outputs(net, phones_heard.mfcc(item.sound, options))
        heard.append(" ".join(phones_heard.greedy(log_probs, facts["phones"])))
    return scores.error_rate(said, heard, norm=False)


@dataclass(frozen=True)
class Row:
    """One reader of the table, as ``--row`` names it: NAME=SPEC[,general=FOLDER][,every=N]."""

    name: str
    spec: str
    general: str | None
    """Folder of the same acoustic model with the general graph."""
    every: int

    @classmethod
    def of(cls, text: str) -> Row:
        """A row as it is typed; the ``type`` of an argument of argparse.

        Raises:
            ArgumentTypeError: it is written otherwise, or there is no such reader or folder.
        """
        name, _, rest = text.partition("=")
        spec, *more = rest.split(",")
        options = dict(x.partition("=")[::2] for x in more)
        every = options.get("every", "1")
        if not spec or options.keys() - {"general", "every"} or not every.isdigit():
            raise argparse.ArgumentTypeError(
                f"{text!r} is not written NAME=SPEC[,general=FOLDER][,every=N]"
            )
        row = cls(name, spec, options.get("general"), max(1, int(every)))
        kind, _, folder = spec.partition(":")
        if kind not in KINDS or bool(folder) != KINDS[kind]:
            raise argparse.ArgumentTypeError(f"no reader {spec!r}: {', '.join(SPECS)}")
        for path in (folder, row.general):
            if path:
                existing()(path)
        return row

    @property
    def folder(self) -> Path | None:
        path = self.spec.partition(":")[2]
        return Path(path) if path else None

    @property
    def packed(self) -> Path | None:
        """Our own model, where the reader is that."""
        return self.folder if self.spec.partition(":")[0] == "packed" else None


def main() -> None:
    args = asked()
    whole = sets.make(args.work / "sets", args.people, args.limit)
    terms = set(" ".join(sets.dictations("terms.txt")).split())
    table: list[dict[str, str]] = []
    for row in args.row:
        made = {n: items[:: row.every] for n, items in whole.items()}
        mine, heard = everything_heard(row, made, args.work, args.again)
        table.append(
            {"reader": row.name, "sounds read": f"every {row.every}" if row.every > 1 else "all"}
            | word_errors(row, made, heard)
            | farrier_words(made, heard, terms)
            | by_voice(made["c-clean"], heard["c-clean"])
            | costs(row, mine)
        )
        print(f"{row.name}: done", file=sys.stderr, flush=True)
    print(markdown(table))
    if args.json:
        args.json.write_text(json.dumps(table, indent=1) + "\n", encoding="utf-8")


def asked() -> argparse.Namespace:
    """What the command line asks for."""
    ask = asking(__doc__)
    ask.add_argument("work", type=Path, help="folder of the sets and the results")
    ask.add_argument("--people", type=existing(), help="folder of the human recordings")
    ask.add_argument("--row", action="append", default=[], type=Row.of, help="NAME=SPEC[,...]")
    ask.add_argument("--limit", type=int, default=150, help="human utterances per set")
    ask.add_argument("--again", action="store_true", help="run every row anew")
    ask.add_argument("--json", type=Path, help="also write the numbers here")
    return ask.parse_args()


def everything_heard(
    row: Row, made: Sets, work: Path, again: bool
) -> tuple[dict[str, Any], dict[str, list[str]]]:
    """What one reader heard on every set; first the results on our own sets, with times."""
    spec = f"vosk:{ensure_expanded(row.packed, work / 'expanded')}" if row.packed else row.spec
    wide = spec
    if row.general:
        wide = f"vosk:{ensure_expanded(Path(row.general), work / 'expanded')}"
    people = [n for n in GENERAL if n in made]
    mine = run(spec, row.every, [n for n in OURS if n in made], work, again)
    theirs = run(wide, row.every, people, work, again) if people else {"heard": {}}
    return mine, {**mine["heard"], **theirs["heard"]}


def word_errors(row: Row, made: Sets, heard: dict[str, list[str]]) -> dict[str, str]:
    """Words wrong on every set; of our own model also phones, where people speak."""
    about: dict[str, str] = {}
    for n in (*(n for n in GENERAL if n in made), *OURS):
        about[f"{n} WER"] = str(scores.error_rate([x.said for x in made[n]], heard[n]))
        if row.packed and n in GENERAL:
            from lexicon import Lexicon

            about[f"{n} PER"] = str(phone_errors(row.packed, made[n], Lexicon()))
    return about


def farrier_words(made: Sets, heard: dict[str, list[str]], terms: set[str]) -> dict[str, str]:
    """Terms of the trade that were heard, and numbers that are right."""
    about: dict[str, str] = {}
    for n in ("c-clean", "c-10dB", "c-numbers"):
        said = [x.said for x in made[n]]
        about[f"{n} terms"] = str(scores.term_recall(said, heard[n], terms))
        about[f"{n} numbers"] = str(scores.exact_numbers(said, heard[n]))
    return about


def by_voice(items: list[sets.Item], heard: list[str]) -> dict[str, str]:
    """Words wrong in the clean sounds of each voice."""
    about: dict[str, str] = {}
    for voice in sets.TEST_VOICES:
        pick = [i for i, x in enumerate(items) if x.key.startswith(voice)]
        rate = scores.error_rate([items[i].said for i in pick], [heard[i] for i in pick])
        about[f"c-clean {voice} WER"] = str(rate)
    return about


def costs(row: Row, mine: dict[str, Any]) -> dict[str, str]:
    """Time, memory and disk."""
    disk = size(row.folder) if row.folder else float("nan")
    return {
        "RTF": f"{mine['rtf']:.3f}",
        "load s": f"{mine['load']:.2f}",
        "resident MB": f"{mine['resident_mb']:.0f}",
        "size MB": f"{disk:.1f}",
    }


def markdown(table: list[dict[str, str]]) -> str:
    """Measures down, readers across: percent with 95% intervals."""
    keys = list(dict.fromkeys(k for row in table for k in row if k != "reader"))
    lines = ["| |" + "|".join(r["reader"] for r in table) + "|", "|---|" + "---|" * len(table)]
    lines += [f"|{k}|" + "|".join(r.get(k, "–") for r in table) + "|" for k in keys]
    return "\n".join(lines)


if __name__ == "__main__":
    main()
