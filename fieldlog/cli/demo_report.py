"""What the demo understood, beside the truth."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from fieldlog.cli.demo_day import DemoNote
from fieldlog.cli.scoring import FactScore, Tally, WordErrors, match, words_of
from fieldlog.core.facts import Fact
from fieldlog.core.words import Transcript
from fieldlog.language.wording import describe


@dataclass(frozen=True, slots=True)
class NoteResult:
    """One note as it came out."""

    note: DemoNote
    heard: Transcript
    facts: tuple[Fact, ...]
    """Of all horses in the note, in the order of the words."""


@dataclass(slots=True)
class Report:
    """Counts over the day, and the lines that say so."""

    words: WordErrors = field(default_factory=WordErrors)
    facts: FactScore = field(default_factory=FactScore)
    from_script: FactScore | None = None
    """The same counts with the script itself read instead of the sound: the reader of facts
    alone, without the recogniser's mishearings."""


SAFETY_RULE = "redflag:"


def read_from_words(facts: Sequence[Fact]) -> list[Fact]:
    """Facts that claim to have been said; a call to the vet that a safety rule adds does not."""
    return [f for f in facts if not f.rule.startswith(SAFETY_RULE)]


def note_lines(result: NoteResult, width: int = 80) -> list[str]:
    """One note: what was said, what was heard, and facts as right, wrong, missed or made up."""
    note = result.note
    wrong = WordErrors()
    wrong.add(note.text, result.heard.text)
    said = len(words_of(note.text))
    out = [f"{note.id}  {note.at:%H:%M}  {wrong.wrong} of {said} words wrong"]
    out += _wrapped("said:  ", note.text, width)
    out += _wrapped("heard: ", result.heard.text or "(nothing)", width)
    meant = [fact for _, fact in note.facts]
    pairs = match(meant, read_from_words(result.facts))
    got = {id(b): a for a, b in pairs}
    found = {id(a) for a, _ in pairs}
    for fact in result.facts:
        truth = got.get(id(fact))
        if fact.rule.startswith(SAFETY_RULE):
            out += _wrapped("  !  ", f"{describe(fact)}   (added by a safety rule)", width)
        elif truth is None:
            out += _wrapped("  +  ", f"{describe(fact)}   (not in the truth)", width)
        elif _agree(truth, fact):
            out += _wrapped("  =  ", describe(fact), width)
        else:
            out += _wrapped("  ~  ", f"{describe(fact)}   (truth: {describe(truth)})", width)
    for fact in meant:
        if id(fact) not in found:
            out += _wrapped("  -  ", f"{describe(fact)}   (missed)", width)
    return out


def _agree(truth: Fact, fact: Fact) -> bool:
    score = FactScore()
    score.add([truth], [fact])
    return score.fields["whole fact"].right == 1


def _wrapped(mark: str, text: str, width: int) -> list[str]:
    return textwrap.wrap(
        text, width, initial_indent=mark, subsequent_indent=" " * len(mark)
    ) or [mark]  # fmt: skip


def summary_lines(report: Report) -> list[str]:
    """The day's figures."""
    rate = report.words.rate
    out = [
        f"Words: {report.words.wrong} of {report.words.words} wrong "
        f"(word error rate {rate:.1%}), read from sound by the speech model.",
        "",
    ]
    out += _field_lines("Facts, from the words as heard", report.facts)
    if report.from_script is not None:
        out += ["", *_field_lines("Facts, from the script as written", report.from_script)]
    return out


def _field_lines(title: str, score: FactScore) -> list[str]:
    out = [f"{title:36}  precision  recall  (right, given, meant)"]
    for name, tally in score.fields.items():
        if tally.said or tally.meant:
            out.append(
                f"  {name:34}  {_share(tally.precision):>9}  {_share(tally.recall):>6}"
                f"  ({tally.right}, {tally.said}, {tally.meant})"
            )
    return out


def _share(value: float | None) -> str:
    return "-" if value is None else f"{value:.1%}"


def as_data(report: Report, results: Sequence[NoteResult]) -> dict[str, Any]:
    """The report for scripts."""
    return {
        "words": report.words.words,
        "wrong_words": report.words.wrong,
        "word_error_rate": round(report.words.rate, 4),
        "fields": _fields_data(report.facts),
        "fields_from_script": _fields_data(report.from_script) if report.from_script else None,
        "notes": [
            {
                "id": r.note.id,
                "said": r.note.text,
                "heard": r.heard.text,
                "reader": r.heard.reader,
                "facts": [f.to_dict() for f in r.facts],
            }
            for r in results
        ],
    }


def _fields_data(score: FactScore) -> dict[str, dict[str, float | int | None]]:
    def one(tally: Tally) -> dict[str, float | int | None]:
        return {
            "right": tally.right,
            "given": tally.said,
            "meant": tally.meant,
            "precision": tally.precision,
            "recall": tally.recall,
        }

    return {name: one(t) for name, t in score.fields.items()}
