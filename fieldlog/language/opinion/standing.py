"""Whether what a fact tells is said at all: what made it, weighed with what the network hears.

The chance is made of the rule that found the fact and of how plainly the network hears its code
(weights in ``data/weighing.toml``, fitted by ``models/confidence/weigh.py`` on notes that neither
had learnt from). A fact that is unlikely is set aside: offered, not told.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from fieldlog.core.facts import Fact, FactKind, FootBasis, SpokenCorrection
from fieldlog.core.words import Transcript
from fieldlog.language.context.pair_apart import PAIR_MEASURED
from fieldlog.language.lexicon import read_data
from fieldlog.language.opinion.gist import words_of
from fieldlog.language.opinion.gist_facts import flags_kept, near_correction, plainly_said, shares
from fieldlog.language.opinion.heard import Opinion, Span
from fieldlog.language.opinion.labels import label
from fieldlog.language.opinion.logit import Signs, log_odds, weighed_chance
from fieldlog.language.opinion.weighed_feet import foot_named

UNLIKELY = 0.35
"""Chance below which a fact is set aside."""
UNCLEAR = 0.7
"""Confidence of the recogniser below which a word may well be another one."""
OF_UNCLEAR = 0.6
"""Chance below which a finding or a job that such a word tells is set aside: of 56 between the two
bars, of unseen writers, 21 were said; of 57 whose words were clear, 36."""
_OF_WORDS = frozenset({FactKind.FINDING, FactKind.WORK})
EDGE = 0.0025
"""Chances beyond it are all alike."""
NOWHERE = 0.1
"""Chance that a measure is said anywhere in the note, below which its number is of something else:
of 77 such of unseen writers two were right."""
SOME_KIND = 0.6
"""Chance from which something of the fact's kin is said: a crack, whichever."""
KIN_HEARD = 0.15
"""Chance of another name above which the network wavers."""
_NUMBERED = frozenset({FactKind.MEASUREMENT, FactKind.SCORE})
_NEVER = frozenset({FactKind.NOTE})
"""A note is what nothing else is."""


def said_signs(fact: Fact, opinion: Opinion, often: int) -> Signs:
    """The numbers that the chance of a fact's code is made of.

    Args:
        fact: a fact whose code the network knows.
        opinion: what it says of the note.
        often: how many facts of the note have this code.
    """
    source = fact.rule.partition(":")[0] or "rule"
    near = log_odds(opinion.chance(fact.code, fact.negated, fact.span), EDGE)
    return {
        "said": 1.0,
        "said:near": near,
        "said:near*near": near * near,
        "said:note": log_odds(opinion.chance(fact.code, fact.negated), EDGE),
        "said:turned": opinion.chance(fact.code, not fact.negated, fact.span),
        "said:negated": float(fact.negated),
        "said:often": float(often > 1),
        f"said:{source}": 1.0,
        f"said:{source}:near": near,
        f"said:{fact.kind.value}": 1.0,
        f"said:{fact.kind.value}:near": near,
    }


def unclear_words(transcript: Transcript) -> list[Span]:
    """Characters of the words that the recogniser was unsure of; of a typed note none."""
    if all(word.confidence >= UNCLEAR for word in transcript.words):
        return []
    spans = zip(transcript.words, transcript.word_spans(), strict=True)
    return [span for word, span in spans if word.confidence < UNCLEAR]


def _wavers(fact: Fact, opinion: Opinion) -> bool:
    """Whether a finding is heard, but under more than one name: between a crack and a quarter crack
    the network may waver where one of them is plain."""
    if fact.kind is not FactKind.FINDING:
        return False
    others = _closer_or_wider(fact.code, fact.negated, tuple(opinion.columns))
    none = opinion.chance_of_none(others, fact.negated, fact.span)
    either = 1.0 - none * (1.0 - opinion.chance(fact.code, fact.negated, fact.span))
    return none < 1.0 - KIN_HEARD and either >= SOME_KIND


@lru_cache(maxsize=512)
def _closer_or_wider(code: str, negated: bool, known: tuple[str, ...]) -> tuple[str, ...]:
    """The codes that the network knows and that tell the same more closely or less so.

    Args:
        code: an id of the vocabulary.
        negated: whether it is said to be absent.
        known: the network's names.
    """
    own = {*code.split("_")}
    other = [name.removeprefix("not:") for name in known if name.startswith("not:") == negated]
    return tuple(name for name in other if own < {*name.split("_")} or own > {*name.split("_")})


def _words_of(fact: Fact, opinion: Opinion) -> list[str]:
    return [w for w, first, _ in opinion.words if fact.span[0] <= first < fact.span[1]]


def _named_with_its_foot(fact: Fact, opinion: Opinion) -> bool:
    """Whether its foot and its name are all that is said of it: "left hind flare", "crack right
    hind".

    In notes of a few words the network then hears the words behind it only ("call the vet").
    Of 37 findings that their foot leads and that it set aside rightly, none was said so.
    """
    if fact.kind is not FactKind.FINDING or fact.code in _NO_NAMES:
        return False
    if (
        not fact.rule.startswith("lexicon:")
        or fact.foot_basis is not FootBasis.SAID
        or len(fact.feet) != 1
    ):
        return False
    name = foot_named(fact)
    words = [w for w in _words_of(fact, opinion) if w != ","]
    many = len(name)
    rest = words[many:] if words[:many] == name else words[:-many]
    if many < 2 or (words[:many] != name and words[-many:] != name):
        return False  # a bare "left" may be the left of anything
    return 0 < len(rest) <= _NAME and _SMALL.isdisjoint(rest)


def _otherwise(fact: Fact, opinion: Opinion) -> bool:
    """Whether it is the visit of "in a week if it's not dry, otherwise six" or of "that one needs
    another week": short, but clear."""
    if fact.kind is not FactKind.FOLLOW_UP or fact.due is None:
        return False
    before = [word for word, first, _ in opinion.words if first < fact.span[0]]
    if fact.rule == "time:alone" and before[-1:] in (["needs"], ["need"], ["wants"]):
        return True  # "the off hind needs another week"
    lead = [word for word in before[-4:] if word not in (",", "in", "at", "it's")]
    return lead[-1:] == ["otherwise"] or lead[-2:] in (["if", "not"], ["or", "else"])


def _next_and_its_day(fact: Fact, opinion: Opinion) -> bool:
    """Whether it is "next appointment january fifth", "rescheduled to friday": the visit, its day
    and next to nothing else.

    What stands behind ("at nine") may keep the network from hearing it, and a day that is not on
    the list is a horse that waits. "Next shoeing, no change in a month" has more between.
    """
    if not fact.rule.startswith("lexicon:next_trim") or not fact.due or not fact.due.spoken:
        return False
    words = _words_of(fact, opinion)
    day = [word for word, _, _ in words_of(fact.due.spoken)]
    at_once = any(words[at : at + len(day)] == day for at in range(1, _VISIT + 1))
    return at_once and words[0] in _OF_A_VISIT


_OF_A_VISIT = frozenset({"next", "appointment", "appt", "rescheduled", "rebooked"})
_VISIT = 3
"""Words of "next appointment is" at most."""


def _calls_a_vet(fact: Fact, opinion: Opinion) -> bool:
    """Whether a veterinarian may be called here: better asked about than offered only. Of six such
    in 2859 notes two were said."""
    if fact.code != "vet_visit" or fact.negated or not fact.rule.startswith("lexicon:"):
        return False
    return opinion.chance(fact.code, False, fact.span) >= MAY_CALL


MAY_CALL = 0.1
"""Chance of a call for a veterinarian from which it is asked about."""


def _than_last_time(fact: Fact, opinion: Opinion) -> bool:
    """Whether a part of a foot is compared with the last visit in so many words: "toes shorter than
    last time". The network has learnt to tell that of numbers only."""
    trend = fact.comparison
    if fact.code != "change" or trend is None or trend.against != "last_visit" or not fact.places:
        return False
    first = [at for at, word in enumerate(opinion.words) if word[1] >= fact.span[0]][:1]
    said = [word for word, _, _ in opinion.words[first[0] :][:_LONGEST]] if first else []
    return any(a == "than" and b == "last" for a, b in pairwise(said))


_LONGEST = 12
"""Words of such a comparison at most."""
_NO_NAMES = frozenset({"normal", "change", "better_shape", "sound", "overgrown"})
"""Findings that a word names which may as well be no finding: "left hind good"."""
_NAME = 2
"""Words that the name of a finding has at most."""
_SMALL = frozenset({"is", "it", "he", "she", "the", "a", "to", "in", "on", "s", "if", "so", "no",
                    "could", "was", "had", "and", "not", "you"})  # fmt: skip


def _may_go(fact: Fact, opinion: Opinion) -> bool:
    """Whether a fact is of those that may be set aside at all."""
    if fact.kind in _NEVER or fact.taught or fact.rule == PAIR_MEASURED:
        return False
    weighed = any(doubt.code == "second_opinion" for doubt in fact.doubts)
    return not weighed and opinion.knows(fact.code, fact.negated)


def _surely_said(fact: Fact, opinion: Opinion) -> bool:
    """Whether a fact is said in words that the network is known to overhear, or calls for a vet."""
    return (
        _named_with_its_foot(fact, opinion)
        or _otherwise(fact, opinion)
        or _next_and_its_day(fact, opinion)
        or _than_last_time(fact, opinion)
        or _calls_a_vet(fact, opinion)
        or plainly_said(fact)
    )


def set_aside(
    facts: Sequence[Fact],
    opinion: Opinion,
    corrections: Sequence[SpokenCorrection] = (),
    unclear: Sequence[Span] = (),
) -> tuple[list[Fact], list[Fact]]:
    """The facts that stay, and those that are so unlikely that they are only offered.

    Never what the farrier taught, what was corrected while speaking, nor what calls for a
    veterinarian; a number only where its measure is heard nowhere in the note.

    Args:
        facts: the facts of an entry.
        opinion: what the network says of the note.
        corrections: what was taken back; only the rules know what holds there.
        unclear: characters of the words that were not clearly heard (``unclear_words``).
    """
    weights: Signs = read_data("weighing").get("weight", {})
    if "said" not in weights:
        return list(facts), []
    often = Counter(label(f.code, f.negated) for f in facts)

    def unlikely(fact: Fact) -> bool:
        if fact.kind in _NUMBERED:
            return opinion.chance(fact.code, fact.negated) < NOWHERE
        signs = said_signs(fact, opinion, often[label(fact.code, fact.negated)])
        chance = weighed_chance(signs, weights)
        bar = UNLIKELY
        if fact.kind in _OF_WORDS and any(shares(span, fact.span) for span in unclear):
            bar = OF_UNCLEAR
        return chance < bar and not _wavers(fact, opinion)

    aside = {
        f.id
        for f in facts
        if _may_go(f, opinion)
        and unlikely(f)
        and not near_correction(f.span, corrections)
        and not _surely_said(f, opinion)
    }
    kept = [f for f in facts if f.id not in aside]
    if not flags_kept(facts, kept):
        return list(facts), []
    return kept, [f for f in facts if f.id in aside]
