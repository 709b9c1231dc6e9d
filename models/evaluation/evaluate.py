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
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(HERE), str(ROOT), str(ROOT / "models" / "graph")]

import scores  # noqa: E402
import sets  # noqa: E402

from fieldlog.speech.shipped import describe, ensure_expanded  # noqa: E402

GENERAL = ("a-librispeech", "b-speechocean")
OURS = ("c-clean", "c-20dB", "c-10dB", "c-5dB", "c-numbers", "d-demo")


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


def main() -> None:
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("work", type=Path)
    ask.add_argument("--people", type=Path, help="folder of the human recordings")
    ask.add_argument("--row", action="append", default=[], help="NAME=SPEC[,...]")
    ask.add_argument("--limit", type=int, default=150, help="human utterances per set")
    ask.add_argument("--again", action="store_true")
    ask.add_argument("--json", type=Path, help="also write the numbers here")
    args = ask.parse_args()
    whole = sets.make(args.work / "sets", args.people, args.limit)
    terms = set(" ".join(sets.dictations("terms.txt")).split())
    table: list[dict[str, str]] = []
    for row in args.row:
        name, _, rest = row.partition("=")
        spec, *more = rest.split(",")
        options = dict(x.split("=", 1) for x in more)
        general, every = options.get("general"), int(options.get("every", 1))
        made = {n: items[::every] for n, items in whole.items()}
        kind, _, path = spec.partition(":")
        about: dict[str, str] = {
            "reader": name,
            "sounds read": f"every {every}" if every > 1 else "all",
        }
        disk = size(Path(path)) if path else float("nan")
        packed = Path(path) if kind == "packed" else None
        if packed:
            spec = f"vosk:{ensure_expanded(packed, args.work / 'expanded')}"
        wide = spec
        if general:
            wide = f"vosk:{ensure_expanded(Path(general), args.work / 'expanded')}"
        people = [n for n in GENERAL if n in whole]
        mine = run(spec, every, [n for n in OURS if n in made], args.work, args.again)
        theirs = run(wide, every, people, args.work, args.again) if people else {"heard": {}}
        heard = {**mine["heard"], **theirs["heard"]}
        for n in (*people, *OURS):
            about[f"{n} WER"] = str(scores.error_rate([x.said for x in made[n]], heard[n]))
            if packed and n in people:
                from lexicon import Lexicon

                about[f"{n} PER"] = str(phone_errors(packed, made[n], Lexicon()))
        for n in ("c-clean", "c-10dB", "c-numbers"):
            said = [x.said for x in made[n]]
            about[f"{n} terms"] = str(scores.term_recall(said, heard[n], terms))
            about[f"{n} numbers"] = str(scores.exact_numbers(said, heard[n]))
        for voice in sets.TEST_VOICES:
            pick = [i for i, x in enumerate(made["c-clean"]) if x.key.startswith(voice)]
            about[f"c-clean {voice} WER"] = str(
                scores.error_rate(
                    [made["c-clean"][i].said for i in pick], [heard["c-clean"][i] for i in pick]
                )
            )
        about |= {
            "RTF": f"{mine['rtf']:.3f}",
            "load s": f"{mine['load']:.2f}",
            "resident MB": f"{mine['resident_mb']:.0f}",
            "size MB": f"{disk:.1f}",
        }
        table.append(about)
        print(f"{name}: done", file=sys.stderr, flush=True)
    print(markdown(table))
    if args.json:
        args.json.write_text(json.dumps(table, indent=1) + "\n", encoding="utf-8")


def markdown(table: list[dict[str, str]]) -> str:
    """Measures down, readers across: percent with 95% intervals."""
    keys = list(dict.fromkeys(k for row in table for k in row if k != "reader"))
    lines = ["| |" + "|".join(r["reader"] for r in table) + "|", "|---|" + "---|" * len(table)]
    lines += [f"|{k}|" + "|".join(r.get(k, "–") for r in table) + "|" for k in keys]
    return "\n".join(lines)


if __name__ == "__main__":
    main()
