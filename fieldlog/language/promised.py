"""What a promise or an advice says, in the words that were spoken: "owner care" tells nobody what.

The label stands with the words of the note, without condition and day, which are told beside them.
"""

from __future__ import annotations

import re
from functools import cache

from fieldlog.core.facts import Fact, FactKind
from fieldlog.language.lexicon import items
from fieldlog.language.wording import CAUTION, TABLE, label


def promised(fact: Fact, text: str, stop: int | None = None) -> str:
    """What a promise or an advice says: ``owner care: pick out the feet every day``.

    The spoken words stand with the label, because "owner care" alone tells nobody what to do.

    Args:
        fact: the promise or the advice.
        text: the note that its span points into.
        stop: where the next thing begins that was said; words of an advice end there.
    """
    name = str(fact.details.get("text") or label(fact.code, TABLE.get(fact.kind, "")))
    words = spoken(fact, text, stop)
    known = {*_PLAIN.findall(name.lower()), *_ADDS_NOTHING}
    said = _PLAIN.findall(words.lower())
    if known.issuperset(said):
        return name
    # "told Jen to call the vet" says itself that it was advised.
    itself = fact.kind is FactKind.ADVICE or said[0] == name.lower().split()[0]
    return words if itself else f"{name}: {words}"


def spoken(fact: Fact, text: str, stop: int | None = None) -> str:
    """The words of a promise or an advice, whole, without what is told beside them.

    Its condition is left out, and so is its day if that is known. Nobody said the words under a
    call that a red flag makes.
    """
    if fact.details.get("said"):  # typed by hand: no note has these words
        return _whole_words(str(fact.details["said"]), fact)
    if fact.rule.startswith("redflag"):
        return ""
    start, end = fact.span
    if not 0 <= start < end <= len(text):
        return str(fact.details.get("what", ""))
    body = _find(str(fact.details.get("what", "")), text, max(0, start - _NEAR), end + _NEAR)
    if body is not None and body.start() < end and body.end() > start:
        start, end = min(start, body.start()), max(end, body.end())
    elif fact.kind is FactKind.ADVICE:
        # A place may stand before it: "the toe a quarter | told the owner".
        tells = _TELLS.search(text, start, end)
        start = tells.start() if tells else start
        # "told her | that the heels need time": what was told goes on to the next stop.
        last = len(text) if stop is None else max(stop, end)
        goes_on = _TOLD.match(text, end, last)
        if goes_on is None and _OF_WHAT.search(text, start, end):
            goes_on = _REST.match(text, end, last)
        end = goes_on.end() if goes_on else end
    else:
        # Without stops the place of a finding may lead: "medial quarter call the vet".
        before = _PLACE_BEFORE.match(text, start, end)
        start = before.end() if before else start
    while start > 0 and text[start - 1].isalnum():
        start -= 1
    while end < len(text) and text[end].isalnum():
        end += 1
    return _whole_words(text[start:end], fact)


def as_suspicion(words: str) -> str:
    """Spoken words with each disease in them as a suspicion: ``recheck the suspected abscess``."""
    return _diseases().sub(r"suspected \g<0>", words)


@cache
def _diseases() -> re.Pattern[str]:
    names = [CAUTION.sub("", item.label) for item in items("findings") if _SUSPECTED in item.label]
    words = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    return re.compile(rf"(?<!suspected )\b(?:{words})(?:ed)?\b", re.IGNORECASE)


_SUSPECTED = "suspected)"
_PLAIN = re.compile(r"[\w'’]+")
_NEAR = 160
"""How far from its span, in characters, the body of a promise is looked for."""
_MOST = 120
"""Most characters of a dictated promise on one line; the note has the rest."""
_REST = re.compile(r"[^.,;:?!\n]{0,60}(?![\w'’])")
_OF_WHAT = re.compile(r"\b(?:that|about|how)\b", re.IGNORECASE)
_TELLS = re.compile(
    r"\b(?:i )?(?:told|tell|said|say|asked|ask|advised|warned|showed|spoke|talked|explained"
    r"|mentioned|suggested|recommended|reminded)\b",
    re.IGNORECASE,
)
_TOLD = re.compile(r"\s+(?:that|about|how|to|not to)\s[^.,;:?!\n]{0,60}(?![\w'’])", re.IGNORECASE)
_PLACE_BEFORE = re.compile(
    r"(?:(?:medial|lateral|inside|outside|inner|outer|left|right|near|off|front|hind|fore|back|toe"
    r"|quarter|heel|sole|bar|wall|frog)\s+)+(?=(?:call|ring|phone|text|message|get)\b)",
    re.IGNORECASE,
)
_KEPT_TIME = r"(?<!until )(?<!till )(?<!for )(?<!every )"
_ADDS_NOTHING = frozenset(
    {"back", "again", "due", "next", "in", "on", "at", "the", "a", "to", "be", "come", "i'll", "i"}
    | {"we'll", "will", "him", "her", "them", "it", "and", "then"}
)
"""Beside its label these say nothing more: "back in four weeks" is the next trim."""
_LEAD = re.compile(
    r"^(?:[\s,.;:]+|(?:and|but|so|then|if|or|that)\b|(?:the )?(?:owner|client)(?: is|'s|’s)? to\b"
    r"|(?:is )?to\b)+",
    re.IGNORECASE,
)
_TRAIL = re.compile(
    r"(?:[\s,.;:]+|\b(?:and|but|so|then|if|or|the|a|an|that|of|to|with|about|in|on|at|by|for"
    r"|(?:i|we|he|she|they)(?:['’]ll| will)?))+$",
    re.IGNORECASE,
)
_PERIOD = re.compile(
    r"\b(?:in|within) [\w-]+(?: [\w-]+)? (?:day|week|month|year)s?\b",
    re.IGNORECASE,
)


def _find(words: str, text: str, start: int = 0, end: int | None = None) -> re.Match[str] | None:
    """``words`` in ``text``, however they are spaced and stopped."""
    parts = [re.escape(part) for part in _PLAIN.findall(words)]
    if not parts:
        return None
    wanted = re.compile(r"(?<![\w'’])" + r"[^\w]+".join(parts) + r"(?![\w'’])", re.IGNORECASE)
    return wanted.search(text, start, len(text) if end is None else min(end, len(text)))


def _whole_words(words: str, fact: Fact) -> str:
    words = " ".join(words.split())
    due = fact.due
    if due is not None and due.on is not None:
        words = _without_day(words, due.spoken)
    condition = _find(str(fact.details.get("condition", "")), words)
    if condition is not None:
        words = f"{words[: condition.start()]} {words[condition.end() :]}"
    words = _TRAIL.sub("", _LEAD.sub("", " ".join(words.split())))
    to = str(fact.details.get("to", ""))
    if to:
        words = re.sub(rf"\b{re.escape(to)}\b", to, words, flags=re.IGNORECASE)
    if len(words) > _MOST and not fact.details.get("said"):
        words = words[:_MOST].rsplit(" ", 1)[0] + " …"
    return words


def _without_day(words: str, day: str) -> str:
    """Without when it is to be, where that is known as a date: "until Friday" is more than that."""
    if not _PLAIN.findall(day) or day.lower().startswith(("for ", "every ", "until ", "till ")):
        return words
    time = _KEPT_TIME + r"(?:\b(?:by|on|before) )?\b" + re.escape(day) + r"\b"
    left = re.sub(time, "", words, count=1, flags=re.IGNORECASE)
    return left if left.strip(" .,") else _PERIOD.sub("", words)
