"""How far two readers of the guide agree, and what the program gets wrong by both.

    python -m tests.gold.readers

``second-*.txt`` hold the notes of a set as somebody else annotated them, who saw the notes and the
guide only. A fact that nothing asks to look at and that neither reader has is wrong beyond what
readers differ in.
"""

from __future__ import annotations

import argparse

from fieldlog.language.confidence import accept_threshold
from fieldlog.language.pipeline import load
from tests.gold.annotation import HERE, Note, notes_in, read_notes
from tests.gold.evaluate import FIELDS, Scores, count, joined_feet, judged, understood, unlooked

SETS = ("stranger", "outsider")


def pairs_of(name: str) -> list[tuple[Note, Note]]:
    """The notes of a set as its writer and as a second reader annotated them."""
    second = {note.text: note for note in notes_in(HERE / f"second-{name}.txt")}
    return [(note, second[note.text]) for note in read_notes(name)]


def agreement(pairs: list[tuple[Note, Note]]) -> Scores:
    """The second reader's facts scored against the writer's."""
    scores = Scores()
    for first, second in pairs:
        count(scores, joined_feet(first.facts), joined_feet(second.facts), relaxed=False)
    return scores


def main() -> None:
    """Print the agreement of each set, and the program against both readers."""
    argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    ).parse_args()
    reader, bar = load(), accept_threshold()
    for name in SETS:
        pairs = pairs_of(name)
        scores = agreement(pairs)
        fields = " ".join(f"{field} {scores.by_field[field].f1:.2f}" for field in FIELDS)
        print(f"{name}: two readers agree to F1 {scores.micro.f1:.3f} ({fields})")
        against, taken, wrong, differ = Scores(), 0, 0, 0
        for first, second in pairs:
            facts = understood(reader, first.text)
            count(
                against, joined_feet(second.facts), joined_feet(f.to_dict() for f in facts), False
            )
            for fact, one, other in zip(
                facts, judged(facts, first.facts), judged(facts, second.facts), strict=True
            ):
                if unlooked(fact, fact.confidence, bar):
                    taken += 1
                    wrong += not (one or other)
                    differ += one != other
        print(f"  the program against the second reader: F1 {against.micro.f1:.3f}")
        print(f"  of {taken} facts taken without a look {100 * wrong / taken:.1f} in 100 are wrong "
              f"by both, {100 * differ / taken:.1f} by one of them")  # fmt: skip


if __name__ == "__main__":
    main()
