"""Several horses, each with its own weeks: "six weeks for the cob, the pony can have eight".

One sentence makes one next visit; the weeks of the other horses stand behind it, mostly without the
word "weeks". They are told here, when all else is, as more visits like the first one.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import replace

from fieldlog.core.facts import Due, Fact, FactKind, FootBasis, SpokenCorrection, new_id
from fieldlog.language.opinion.heard import Span

_VISITS = frozenset({"next_trim", "cycle", "recheck"})
_COUNT = (
    r"(?P<count>one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|fourteen|sixteen"
    r"|[1-9]|1[0-6])"
)
_BEAST = (
    r"(?:pon(?:y|ies)|mares?|foals?|geldings?|cobs?|horses?|donkeys?|mules?|yearlings?|colts?"
    r"|fill(?:y|ies)|hunters?|gr[ae]ys?|chestnuts?|bays?|minis?|shetlands?|youngsters?|ropers?"
    r"|stallions?|weanlings?|broodmares?|drafts?|vanners?|others?|rest|warmbloods?"
    r"|paint|pinto|roan|sorrel|palomino|buckskin|dun|skewbald|piebald|appaloosa"
    r"|thoroughbreds?|trotters?|one|ones|fella|lad|lads)"
)
_WHO = (
    rf"(?:(?:the|his|her|this|that|them|those|my|our|all the) (?:\w+ ){{0,2}}?{_BEAST}"
    r"|(?-i:[A-Z][a-z]{2,}))"
)
_NO_NAME = frozenset({"Left", "Right", "Near", "Off", "Front", "Fronts", "Hind", "Hinds", "Toe",
                      "Heel", "Back", "Both", "Next", "Six", "Five", "Four", "Seven", "Eight",
                      "Recheck", "Trim", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday",
                      "Saturday", "Sunday", "Toes", "Heels", "Size", "Shod", "Trimmed", "Put",
                      "Grade", "Angle", "Angles", "Owner", "Vet", "Sole", "Fore", "Fores", "She",
                      "Let", "That", "It", "He", "There", "Here", "What", "Who", "We", "You",
                      "They", "See", "Call", "Say", "Make", "And", "The"})  # fmt: skip
"""Words that begin a sentence, and no horse."""
_COUNTED_NAME = re.compile(
    r"(?:stage|step|visit|day|week|number|case|stall|barn|box)", re.IGNORECASE
)
_VAGUE = frozenset({"other", "others", "rest", "one", "ones"})
_HAS = (
    r"(?:,? s?he)?(?:'s| is| are|'ll| will|'d)?(?:,)? ?"
    r"(?:can have|can go(?: to)?|can wait|could go|gets?|got"
    r"|goes(?: to)?|goin[g']?(?: to)?|go(?: to)?|at|in|every|on|say|be|needs|wants|stays? at"
    r"|due in|back in"
    r"|will do|do|does|have)?"
)
_END = (
    r"(?: weeks?)?(?=\s*(?:$|[.,;?!]|(?:and|then|if|as|but|so|because|till|or|i|he|she|they|we)\b"
    r"|i'\w))"
)
_BEHIND = re.compile(
    rf"\b(?P<who>{_WHO}){_HAS},? (?:at |in |to |say |every |for )?(?:say )?{_COUNT}{_END}",
    re.IGNORECASE,
)
""" "The pony can have eight"."""
_BEFORE = re.compile(
    rf"(?:,|\band|;|\.|\bthen)\s+(?:in |every |say )?{_COUNT}(?: weeks?)? (?:for|on|with) "
    rf"(?P<who>{_WHO})",
    re.IGNORECASE,
)
""" "And eight for the pony"."""
_WEEKS = re.compile(r"\bweeks?\b", re.IGNORECASE)
_BACK = 110
"""Characters before the count in which weeks are spoken of."""
_BESIDE = 3
"""Characters between a count and the words that put it right."""


def herd_counts(text: str) -> tuple[re.Match[str], ...]:
    """Where a note may give a further horse its weeks, in order; ``count`` and ``who`` of each."""
    if _WEEKS.search(text) is None:
        return ()
    found = [*_BEHIND.finditer(text), *_BEFORE.finditer(text)]
    return tuple(sorted(found, key=lambda m: m.start("count")))


def with_herd_weeks(
    facts: Sequence[Fact],
    counts: Sequence[re.Match[str]],
    part: Span,
    times: Callable[[str], Due | None],
    corrections: Sequence[SpokenCorrection] = (),
) -> list[Fact]:
    """The facts; each further horse that is given weeks of its own has a visit.

    Args:
        facts: what is told.
        counts: ``herd_counts`` of the note.
        part: first and last character of the entry.
        times: the first time in a phrase.
        corrections: what was put right; "say five, no, six" is of the horse named last.
    """
    out = list(facts)
    for match in counts:
        at, text = match.span(), match.string
        if not part[0] <= match.start("count") < part[1] or not _is_a_horse(match):
            continue
        due = times(f"in {match['count']} weeks")
        if due is None or not _among_weeks(text, match):
            continue
        first = _first_horses(corrections, match.end("count"))
        if first is not None:
            before, after = first
            out = [replace(f, span=at) if f.id == after.id else f for f in out]
            out.append(replace(before, id=new_id()))
        elif not _told(out, due, match.span("count")):
            out.append(_visit(out, text, at, due))
    return out


def _is_a_horse(match: re.Match[str]) -> bool:
    """Whether the words before the count name a horse: not "the other two", "visit three"."""
    who = match["who"]
    if who in _NO_NAME or (who[0].isupper() and _COUNTED_NAME.match(who)):
        return False
    beside = match.end("who") + 1 == match.start("count")
    vague = who.split()[-1].lower() in _VAGUE or " " not in who
    return not (beside and vague)


def _first_horses(corrections: Sequence[SpokenCorrection], end: int) -> tuple[Fact, Fact] | None:
    """The visit of the first horse and what it became, where the weeks of the second were put
    right: "seven for the ponies, the cob five, no, six"."""
    for correction in corrections:
        before, after = correction.before, correction.after
        beside = 0 <= correction.span[0] - end <= _BESIDE
        if beside and after and before and before[0].due is not None:
            return before[0], after[0]
    return None


def _among_weeks(text: str, match: re.Match[str]) -> bool:
    """Whether another count of weeks was said before, so that this one is weeks too."""
    lead = text[max(0, match.start() - _BACK) : match.start("count")]
    return _WEEKS.search(lead) is not None and not _MEASURES.search(lead.rpartition("week")[2])


_MEASURES = re.compile(
    r"\b(?:mil|millimet\w+|inch(?:es)?|degrees?|toe|heel|angle|size|grade|days?|years?|months?)\b",
    re.IGNORECASE,
)


def _told(facts: Sequence[Fact], due: Due, count: Span) -> bool:
    """Whether a promise tells these weeks, or a fact has its own number there."""
    for fact in facts:
        over = fact.span[0] < count[1] and count[0] < fact.span[1]
        if fact.kind is FactKind.FOLLOW_UP:
            if fact.due is not None and fact.due.period == due.period:
                return True
        elif over:
            return True
    return False


def _visit(facts: Sequence[Fact], text: str, at: Span, due: Due) -> Fact:
    due = replace(due, spoken=text[at[0] : at[1]].strip(" ,.;"))
    before = [f for f in facts if f.code in _VISITS and f.due is not None and f.span[0] < at[0]]
    if before and before[-1].code == "cycle":
        return replace(before[-1], id=new_id(), due=due, span=at)
    return Fact(
        FactKind.FOLLOW_UP, "next_trim", (), FootBasis.WHOLE_HORSE, details={"who": "farrier"},
        due=due, span=at, rule="time:alone",
    )  # fmt: skip
