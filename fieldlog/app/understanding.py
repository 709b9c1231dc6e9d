"""From typed words to facts and from corrections to rules, on the language thread.

spaCy is loaded only here.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import cache
from typing import TYPE_CHECKING

from fieldlog.config import Settings
from fieldlog.core.facts import BY_HAND, Fact, FactKind
from fieldlog.core.words import Transcript
from fieldlog.errors import NotAllowed
from fieldlog.language.opinion.typed_values import typed_values_stand
from fieldlog.language.wording import label
from fieldlog.paths import Places

if TYPE_CHECKING:
    from fieldlog.language.personal import PersonalRules
    from fieldlog.language.pipeline import Understander


@cache
def pipeline(places: Places) -> Understander:
    """The language pipeline with the farrier's own rules, loaded once (about a second)."""
    from fieldlog.language.personal import load_personal
    from fieldlog.language.pipeline import load

    return load(load_personal(places.personal_rules))


def typed(text: str, recorded: datetime, settings: Settings, places: Places) -> list[Fact]:
    """The facts of a typed sentence; see ``typed_whole``."""
    return typed_whole(text, recorded, settings, places)[0]


def typed_whole(
    text: str, recorded: datetime, settings: Settings, places: Places
) -> tuple[list[Fact], str]:
    """The facts of a typed sentence, and a sentence about the words that made none, or nothing.

    The facts are without sound or place; only a foot may be in doubt.

    What was typed comes first; a call to the vet that it asks for comes after it, and stays urgent.
    No note stands behind them, so each promise keeps its part of the typed words itself.
    """
    understood = pipeline(places).understand(
        Transcript.typed(text), recorded=recorded, settings=settings
    )
    found = [fact for entry in understood for fact in typed_values_stand(entry).facts]
    facts = sorted(found, key=lambda fact: fact.rule.startswith("redflag"))
    # Words that only the network took for a fact stay as a passage too.
    rest = [
        p.text.strip(" .,;") for entry in understood for p in entry.passages
        if (p.perhaps or len(p.text.split()) > 2) and not any(_within(p.span, f) for f in found)
    ]  # fmt: skip
    left = f"{', '.join(f'“{words}”' for words in rest)} made no fact: type it on its own."
    return [
        replace(
            fact,
            span=(0, 0),
            sound=None,
            rule=BY_HAND,
            confidence=1.0,
            doubts=(),
            readings=(),
            details={**fact.details, **_said(fact, facts, text), **_urgency(fact)},
        )
        for fact in facts
    ], (left if rest else "")


def _within(span: tuple[int, int], fact: Fact) -> bool:
    return fact.span[0] <= span[0] and span[1] <= fact.span[1]


def _urgency(fact: Fact) -> dict[str, str]:
    # The rule that it came from told so, and that is replaced by the farrier's hand.
    return {"urgent": "yes"} if fact.urgent else {}


def _said(fact: Fact, facts: list[Fact], text: str) -> dict[str, str]:
    """The words of a promise: from where it begins (the first, from the very start) to the next."""
    if fact.kind not in (FactKind.FOLLOW_UP, FactKind.ADVICE):
        return {}
    starts = sorted({f.span[0] for f in facts})
    begin = 0 if fact.span[0] == starts[0] else fact.span[0]
    end = min((at for at in starts if at > fact.span[0]), default=len(text))
    return {"said": text[begin:end].strip()}


def lesson(
    places: Places, before: Fact, after: Fact, words: str
) -> tuple[PersonalRules | None, str]:
    """The rules with what one correction teaches, and that as a sentence.

    Raises:
        ConfigError: the file of personal rules cannot be read.
    """
    from fieldlog.language.personal import load_personal, suggest

    rules = load_personal(places.personal_rules)
    taught = suggest(before, after, words, rules)
    if taught is None or taught == rules:
        return None, ""
    if taught.length_unit != rules.length_unit:
        unit = "inches" if taught.length_unit == "in" else "millimetres"
        return taught, f"a length without a unit is in {unit}"
    phrase = taught.phrases[-1]
    return taught, f"“{phrase.words}” means {label(phrase.code, phrase.kind)}"


def learn(places: Places, rules: PersonalRules) -> None:
    """Keep the rules in the farrier's own file, where they can be read and changed.

    Raises:
        NotAllowed: the file system refuses.
    """
    from fieldlog.language.personal import save_personal

    try:
        save_personal(rules, places.personal_rules)
    except OSError as problem:
        raise NotAllowed(
            f"The file of your own words cannot be written: {problem.strerror}.",
            "Check its folder; the correction itself is kept.",
        ) from problem
    pipeline.cache_clear()
