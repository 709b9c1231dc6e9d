"""Train the name finder on generated notes and test it on words and shapes it never saw.

    python models/ner/train.py [--out models/names-ner] [--notes 6000] [--rounds 8]

It is a small spaCy entity recogniser (hash embeddings, two convolution layers, about a megabyte)
over our own tokens. It only ever adds candidates: the rules decide.
"""

from __future__ import annotations

import json
import random
import sys
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parents[1])]

from models.inputs import asking, packages  # noqa: E402

if __name__ == "__main__":
    packages(__doc__, "DEVELOPERS.md", "spacy")

import spacy  # noqa: E402
from notes import LABELS, Note, make  # noqa: E402
from spacy.training import Example  # noqa: E402
from spacy.util import compounding, fix_random_seed, minibatch  # noqa: E402

from fieldlog.language.words.tokens import spacy_tokenizer  # noqa: E402

CONFIG = """
[model]
@architectures = "spacy.TransitionBasedParser.v2"
state_type = "ner"
extra_state_tokens = false
hidden_width = 48
maxout_pieces = 2
use_upper = true

[model.tok2vec]
@architectures = "spacy.Tok2Vec.v2"

[model.tok2vec.embed]
@architectures = "spacy.MultiHashEmbed.v2"
width = 64
rows = [2000, 500, 1000, 500]
attrs = ["NORM", "PREFIX", "SUFFIX", "SHAPE"]
include_static_vectors = false

[model.tok2vec.encode]
@architectures = "spacy.MaxoutWindowEncoder.v2"
width = 64
window_size = 2
maxout_pieces = 2
depth = 2
"""


def examples(nlp: Any, notes: list[Note]) -> list[Example]:
    """spaCy examples; spans that do not meet token borders are dropped."""
    out = []
    for text, spans in notes:
        doc = nlp.make_doc(text)
        good = [s for s in spans if doc.char_span(s[0], s[1]) is not None]
        out.append(Example.from_dict(doc, {"entities": good}))
    return out


def scores(nlp: Any, notes: list[Note]) -> dict[str, Any]:
    """Exact-span precision, recall and F per label."""
    result = nlp.evaluate(examples(nlp, notes))
    return {
        "all": {k: round(result[f"ents_{k}"], 3) for k in "prf"},
        **{
            label: {k: round(v, 3) for k, v in row.items()}
            for label, row in sorted(result["ents_per_type"].items())
        },
    }


def main() -> None:
    parser = asking(__doc__)
    shipped = HERE.parent / "names-ner"
    parser.add_argument("--out", type=Path, default=shipped, help="folder of the name finder")
    parser.add_argument("--notes", type=int, default=6000, help="generated notes to learn from")
    parser.add_argument("--rounds", type=int, default=8, help="over all of them")
    args = parser.parse_args()
    fix_random_seed(11)
    nlp = spacy.blank("en")
    nlp.tokenizer = spacy_tokenizer(nlp.vocab)
    from thinc.api import Config

    ner = nlp.add_pipe("ner", config=Config().from_str(CONFIG))
    for label in LABELS:
        ner.add_label(label)
    train = examples(nlp, make(args.notes, seed=1))
    known = make(400, seed=2)
    unseen = make(400, seed=3, unseen=True)
    optimiser = nlp.initialize(lambda: train[:500])
    for round_ in range(args.rounds):
        random.Random(round_).shuffle(train)
        losses: dict[str, float] = {}
        for batch in minibatch(train, compounding(16.0, 96.0, 1.01)):
            nlp.update(batch, sgd=optimiser, losses=losses, drop=0.3)
        print(round_, round(losses["ner"]), scores(nlp, unseen)["all"], flush=True)
    args.out.mkdir(parents=True, exist_ok=True)
    with nlp.use_params(optimiser.averages):
        report = {
            "trained_on": f"{args.notes} generated notes, {args.rounds} rounds, seed 1",
            "seen_words": scores(nlp, known),
            "unseen_words_and_shapes": scores(nlp, unseen),
        }
        nlp.to_disk(args.out, exclude=["tokenizer"])
    (args.out / "scores.json").write_text(json.dumps(report, indent=1) + "\n", encoding="utf-8")
    print(json.dumps(report, indent=1))


if __name__ == "__main__":
    main()
