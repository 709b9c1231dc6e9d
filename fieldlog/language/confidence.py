"""How sure a fact is: doubts that say why to look, and a calibrated chance of being right.

Features of a fact (its rule, the recogniser's word confidences over its span, whether unit and
foot were said, how far the foot was, what else could be read) go through logistic weights kept in
``data/confidence.toml``; ``models/confidence/fit.py`` fits them on annotated notes that the rules
were not written on. Every feature that lowers the chance also has a sentence for the farrier.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import combinations

from fieldlog.core.changed import changed
from fieldlog.core.facts import Doubt, Fact, FactKind, FootBasis, Reading
from fieldlog.core.units import Unit
from fieldlog.core.words import Transcript, Word
from fieldlog.language.lexicon import read_data
from fieldlog.language.opinion.gist import WHOLE, HowRead, opinion
from fieldlog.language.opinion.gist_facts import contradicted
from fieldlog.language.opinion.labels import as_told, told_with
from fieldlog.language.opinion.logit import log_odds, weighed_chance
from fieldlog.language.opinion.word_pieces import FEET_TOLD, PLACES_TOLD
from fieldlog.language.surroundings import around, signs, unknown_beside

UNSURE_WORD = 0.6
"""Recogniser confidence below which a word is worth a look."""
_AND_A = re.compile(
    r"\s+and\s+an?\s+(?!(?:bit|little|touch|slight|small|big|good|nice|new|few|couple|lot|bad)\b)"
)
"""What a recogniser writes where it lost the fraction of "three and a quarter"."""
FLAGS = frozenset({"negated", "places", "quantity", "due", "comparison", "historical", "uncertain",
                   "typed"})  # fmt: skip
"""Features whose products with each other count, beside kinds of fact and bases of its foot."""
WITH_FLAGS = frozenset({"gist", "gist:feet", "gist:places", "gist:manner", "gist:unlikely", "crowd",
                        "others_doubted", "word_min"})  # fmt: skip
"""Numbers whose products with flags count."""
NUMBERS = ("beside_min", "crowd", "gist", "gist:feet", "gist:manner", "gist:note", "gist:places",
           "gist:turned", "gist:unlikely", "long", "others_doubted", "thin", "wide_span",
           "word_mean", "word_min")  # fmt: skip
"""Numbers whose squares count."""
MANY_STRANGE = 4
"""Unknown words beside a fact from which it is worth a look."""


def examine(fact: Fact, transcript: Transcript, how: HowRead = WHOLE) -> Fact:
    """The fact with its sound span and the doubts that come from the words themselves.

    ``how`` as in ``gist.Network.read``.
    """
    words = transcript.words_in(*fact.span) if transcript.words else ()
    for doubt in _of_its_words(words):
        fact = fact.with_doubt(doubt.code, doubt.reason)
    if _cut_short(fact, transcript.text):
        fact = fact.with_doubt("competing_readings", "“And a ...” follows: was a fraction lost?")
    strange = unknown_beside(fact, transcript.text)
    if len(strange) >= MANY_STRANGE:
        told = "”, “".join(strange[:3])
        fact = fact.with_doubt("words_unknown", f"Not understood beside it: “{told}”.")
    other = opinion(transcript.text, how)
    if other is not None and contradicted(fact, other):
        fact = fact.with_doubt(
            "second_opinion", "A second opinion on the words does not hear this."
        )
    if fact.due is not None and fact.due.ambiguous:
        fact = fact.with_doubt("date_ambiguous", fact.due.ambiguous)
    return changed(
        fact,
        sound=(words[0].start, words[-1].end) if words else None,
        readings=_more_readings(fact),
    )


def _of_its_words(words: Sequence[Word]) -> Iterator[Doubt]:
    """Doubts that come from how single words were heard."""
    weakest = min(words, key=lambda w: w.confidence, default=None)
    if weakest is not None and weakest.confidence < UNSURE_WORD:
        yield Doubt("word_confidence", f"The word “{weakest.text}” was not heard clearly.")
    taken_for = [w for w in words if w.changed_by and not w.changed_by.startswith("personal")]
    if taken_for:
        heard, text = taken_for[0].heard, taken_for[0].text
        yield Doubt("changed_word", f"“{heard}” was taken for “{text}”.")
    rivals = [w for w in words if w.rival and w.rival != w.text]
    if rivals:
        heard, text = rivals[0].rival, rivals[0].text
        yield Doubt("readers_differ", f"A second reader heard “{heard}” for “{text}”.")


def _cut_short(fact: Fact, text: str) -> bool:
    """Whether a whole number of inches goes on with "and a" and something that is no fraction."""
    quantity = fact.quantity
    if quantity is None or quantity.unit is not Unit.INCH or quantity.value % 1:
        return False
    at = text.lower().find(quantity.spoken.lower(), fact.span[0])
    return at >= 0 and _AND_A.match(text.lower(), at + len(quantity.spoken)) is not None


def _more_readings(fact: Fact) -> tuple[Reading, ...]:
    """The fact's alternatives for the picker, and those that every fact of a kind has: the other
    foot of the pair, the other days of a time."""
    readings = list(fact.readings)
    if len(fact.feet) == 1 and fact.foot_basis is not FootBasis.CHOSEN:
        mate = fact.feet[0].mate
        if not any(r.changes.get("feet") == [mate.value] for r in readings):
            readings.append(Reading(mate.american, {"feet": [mate.value]}))
    if fact.due is not None:
        for day in fact.due.alternatives:
            due = {**fact.to_dict()["due"], "on": day.isoformat()}
            readings.append(Reading(day.isoformat(), {"due": due}))
    return tuple(readings)


def features(
    fact: Fact,
    transcript: Transcript,
    crowd: int = 0,
    facts: Sequence[Fact] = (),
    unused: Sequence[int] = (),
    how: HowRead = WHOLE,
) -> dict[str, float]:
    """The numbers that the chance is made of.

    Args:
        fact: an examined fact.
        transcript: the note.
        crowd: unknown words (in passages) within the note per fact, capped at 10.
        facts: all facts of the entry.
        unused: where words stand that no rule took.
        how: as in ``gist.Network.read``.
    """
    words = transcript.words_in(*fact.span) if transcript.words else ()
    sure = [w.confidence for w in words] or [1.0]
    beside = transcript.words_in(*around(fact, transcript.text)) if transcript.words else ()
    others = [f for f in facts if f.span != fact.span]
    doubted = len([f for f in others if f.doubts])
    out = {
        "one": 1.0,
        "word_min": 1.0 - min(sure),
        "word_mean": 1.0 - sum(sure) / len(sure),
        "beside_min": 1.0 - min([w.confidence for w in beside], default=1.0),
        "others_doubted": doubted / max(1, len(others)),
        "crowd": min(crowd, 10) / 10,
        "typed": 0.0 if words else 1.0,
        f"kind:{fact.kind.value}": 1.0,
        f"basis:{fact.foot_basis.value}": 1.0,
        f"rule:{fact.rule.partition(':')[0]}": 1.0,
    }
    out.update(signs(fact, transcript.text, facts, unused))
    out.update(_second_opinion(fact, transcript.text, how))
    for doubt in fact.doubts:
        out[f"doubt:{doubt.code}"] = 1.0
    if fact.kind is FactKind.MEASUREMENT:
        out[f"measure:{fact.rule}"] = 1.0
    for flag in ("negated", "uncertain", "historical", "planned"):
        if getattr(fact, flag):
            out[flag] = 1.0
    if fact.comparison is not None:
        out["comparison"] = 1.0
    if fact.quantity is not None:
        out["quantity"] = 1.0
    if fact.places:
        out["places"] = 1.0
    if fact.due is not None:
        out["due"] = 1.0
    return out


def _second_opinion(fact: Fact, text: str, how: HowRead) -> dict[str, float]:
    """What the trained network says of the fact: beside it, in the note, of its denial."""
    heard = opinion(text, how)
    if heard is None:
        return {}
    if not heard.knows(fact.code, fact.negated):
        return {"gist:unknown": 1.0}
    near = heard.chance(fact.code, fact.negated, fact.span)
    turned = heard.chance(fact.code, not fact.negated, fact.span)
    return {
        "gist": _log_odds(near),
        "gist:note": _log_odds(heard.chance(fact.code, fact.negated)),
        "gist:turned": turned,
        "gist:unlikely": float(near < 0.15),
        "gist:likely": float(near > 0.9),
        "gist:sure": float(near > 0.99),
        **_told_alike(fact, heard.told(fact.code, fact.negated, fact.span)),
    }


def _told_alike(fact: Fact, told: Mapping[str, float]) -> dict[str, float]:
    """How far the network agrees on feet, places and manner: by what it agrees on least."""
    if not told:
        return {}
    mine = set(told_with(as_told(fact)))
    out = {}
    for group, names in _groups(tuple(told)).items():
        agreed = [told[name] if name in mine else 1.0 - told[name] for name in names]
        out[group] = _log_odds(min(agreed, default=1.0))
    return out


@lru_cache(maxsize=4)
def _groups(names: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    """Of ``told_with``'s names those that count for each feature."""
    feet = tuple(n for n in names if n in FEET_TOLD)
    places = tuple(n for n in names if n not in feet and n.startswith(PLACES_TOLD))
    manner = tuple(n for n in names if n not in feet and n not in places)
    return {"gist:feet": feet, "gist:places": places, "gist:manner": manner}


def _log_odds(chance: float) -> float:
    """From -1 to 1; chances beyond one in four hundred are all alike."""
    return max(-6.0, min(6.0, log_odds(chance))) / 6


def crossed(values: dict[str, float]) -> dict[str, float]:
    """The features with their products: what a doubt is worth depends on the kind of fact.

    A number's square stands for how far it is from ordinary; products of flags and of numbers with
    flags are named ``a*b``.
    """
    out = dict(values)
    flags = tuple(sorted([n for n in values if n in FLAGS or n.startswith(("kind:", "basis:"))]))
    for name, one, other in _pairs(flags):
        out[name] = values[one] * values[other]
    for number in NUMBERS:
        if value := values.get(number, 0.0):
            out[f"{number}*{number}"] = value * value
            if number in WITH_FLAGS:
                for name, flag in _with_flags(number, flags):
                    out[name] = value * values[flag]
    return out


@lru_cache(maxsize=256)
def _pairs(flags: tuple[str, ...]) -> tuple[tuple[str, str, str], ...]:
    """The products of some flags: name, and what is multiplied."""
    return tuple((f"{one}*{other}", one, other) for one, other in combinations(flags, 2))


@lru_cache(maxsize=2048)
def _with_flags(number: str, flags: tuple[str, ...]) -> tuple[tuple[str, str], ...]:
    """The products of a number with some flags: name, and the flag."""
    return tuple((f"{number}*{flag}", flag) for flag in flags)


def chance(values: dict[str, float]) -> float:
    """The calibrated chance, 0 to 1, that every field of the fact is right."""
    return weighed_chance(crossed(values), read_data("confidence")["weight"])


def accept_threshold() -> float:
    """The chance from which a fact without doubts counts as sure."""
    return float(read_data("confidence")["accept_above"])


def with_low_confidence(fact: Fact, sure_from: float) -> Fact:
    """``fact``, with a doubt if its confidence is under ``sure_from`` and nothing else says why."""
    if fact.doubts or fact.confidence >= sure_from:
        return fact
    percent = round(100 * fact.confidence)
    return changed(
        fact,
        doubts=(
            Doubt(
                "low_confidence",
                f"Facts heard like this one are right about {percent} times in 100.",
            ),
        ),
    )


def rated(
    facts: Sequence[Fact],
    transcript: Transcript,
    loose_words: int,
    unused: Sequence[int] = (),
    how: HowRead = WHOLE,
) -> tuple[Fact, ...]:
    """The facts with their doubts and their chance.

    Args:
        facts: facts of one entry.
        transcript: the note.
        loose_words: words of the entry that no rule understood.
        unused: where words stand that no rule took.
        how: as in ``gist.Network.read``.
    """
    crowd = loose_words // max(1, len(facts))
    out = []
    for fact in facts:
        seen = examine(fact, transcript, how)
        values = features(seen, transcript, crowd, facts, unused, how)
        out.append(changed(seen, confidence=round(chance(values), 4)))
    return tuple(out)
