"""Words of a note with their places in the text, and the few mis-hearings that context settles.

A token keeps the exact characters it came from; ``norm`` is what the rules read. Positions are
never changed: spans made from tokens always point into the original text.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from fieldlog.language.lexicon import KINDS, items, read_data
from fieldlog.language.words.matcher import words_of

_PIECE = re.compile(
    r"(?P<word>[^\W\d_]+(?:['’][tT]\b)?)|(?P<clitic>['’](?i:s|ll|d|re|ve|m|em)\b)"
    r"|(?P<number>\d+(?:[.,]\d+)*)|(?P<lines>[^\S\n]*\n\s*)|(?P<mark>\S)"
)
"""Blanks within a line are between the pieces."""
_FILLERS = frozenset({"uh", "um", "erm", "ah", "hm", "hmm", "mm", "umm", "uhh"})
_JOINERS = frozenset("-–—'’\"“”()[]/*_")
_STOPS = frozenset(".?!;…\n")
_ATTACHED = {"didnt": "didn't", "doesnt": "doesn't", "havent": "haven't", "isnt": "isn't",
             "wasnt": "wasn't", "dont": "don't", "wont": "won't", "wouldnt": "wouldn't",
             "couldnt": "couldn't", "cant": "can't", "hasnt": "hasn't", "arent": "aren't",
             "hadnt": "hadn't", "shouldnt": "shouldn't", "aint": "ain't"}  # fmt: skip
_JOINED = {"hes": 2, "shes": 3, "thats": 4, "theres": 5, "whats": 4, "theyre": 4, "theyll": 4,
           "theyve": 4, "youre": 3, "ive": 1, "im": 1, "itll": 2, "itd": 2}  # fmt: skip
"""Where the apostrophe went missing, as thumbs type: "hes" is "he's"; "well" is a word."""


_CODES = {"OF": "rf", "OH": "rh"}
"""Typed codes that are other words in small letters; read only where the note has both cases."""


def _has_small(text: str) -> bool:
    return not text.isupper()


@dataclass(slots=True)
class Token:
    """One word or mark of the note."""

    norm: str
    """Lower case, mis-hearings mended; what rules compare."""
    start: int
    """First character in the text."""
    end: int
    """One past the last character."""
    sort: str = "word"
    """``word``, ``filler``, ``joiner`` (hyphens, quotes), ``comma``, ``stop`` or ``pause``."""
    mended: bool = False
    """True if ``norm`` differs from what stands in the text because of a mis-hearing rule."""


def tokenise(text: str) -> list[Token]:
    """The tokens of ``text`` in order; every character but white space is in one of them."""
    out: list[Token] = []
    for piece in _PIECE.finditer(text):
        sort = piece.lastgroup
        raw = piece.group()
        if sort == "lines":
            if raw.count("\n") > 1:
                out.append(Token("\n", piece.start(), piece.end(), "stop"))
            continue
        norm = raw.lower().replace("’", "'")
        if sort == "mark":
            kind = "stop" if raw in _STOPS else "joiner" if raw in _JOINERS else "comma"
            if raw == "+" and out and out[-1].norm in ("ht", "testers", "tester", "dp", "pulse"):
                norm, kind = "positive", "word"
            elif raw in "&+":
                norm, kind = "and", "word"
            elif raw not in ",;.?!:" and kind == "comma":
                kind = "joiner"
            out.append(Token(norm, piece.start(), piece.end(), kind))
            continue
        if raw in _CODES and _has_small(text):
            norm = _CODES[raw]
        if (cut := _JOINED.get(norm)) is not None:
            middle = piece.start() + cut
            out.append(Token(norm[:cut], piece.start(), middle))
            out.append(Token(f"'{norm[cut:]}", middle, piece.end()))
            continue
        kind = "filler" if norm in _FILLERS else "word"
        out.append(Token(_plain(norm), piece.start(), piece.end(), kind))
    _join_spelled(out)
    _answer(out)
    _mend(out)
    return out


def _answer(tokens: Sequence[Token]) -> None:
    """ "Cracks? None.": the answer belongs to the question."""
    for at, token in enumerate(tokens[:-1]):
        closes = at + 2 >= len(tokens) or tokens[at + 2].sort in ("stop", "comma")
        if token.norm == "?" and tokens[at + 1].norm in ("none", "nil", "no", "zero") and closes:
            token.norm, token.sort = ",", "comma"
            if tokens[at + 1].norm == "no":
                tokens[at + 1].norm = "none"  # "Blood? No, dry."


@cache
def _plain(word: str) -> str:
    """The word as rules know it: "throwed" is "threw", "trimmin" is "trimming"."""
    word = _ATTACHED.get(word, word)
    word = str(read_data("spoken_forms")["same"].get(word, word))
    if word.endswith("in") and len(word) > 4 and word + "g" in _endings_in_ing():
        return word + "g"
    return word


@cache
def _endings_in_ing() -> frozenset[str]:
    """Words in "-ing" that a rule knows."""
    forms = [form for name in KINDS for item in items(name) for form in item.forms]
    forms += [form for row in read_data("context")["role"] for form in row["forms"]]
    known = {word for form in forms for word in words_of(form) if word.endswith("ing")}
    return frozenset(known - {word for word in known if word[:-1] in known})


def _join_spelled(tokens: list[Token]) -> None:
    """``'em`` is the word ``em``; ``o'clock`` is one word."""
    at = 0
    while at < len(tokens):
        if tokens[at].norm == "'em":
            tokens[at].norm = "them"
        if tokens[at].norm == "oclock":
            tokens[at].norm = "o'clock"
        if (
            tokens[at].norm == "o"
            and at + 2 < len(tokens)
            and tokens[at + 2].norm == "clock"
            and tokens[at + 1].norm in ("'", "’")
        ):
            tokens[at : at + 3] = [Token("o'clock", tokens[at].start, tokens[at + 2].end)]
        elif tokens[at].norm == "o" and at + 1 < len(tokens) and tokens[at + 1].norm == "clock":
            tokens[at : at + 2] = [Token("o'clock", tokens[at].start, tokens[at + 1].end)]
        at += 1


@cache
def _homophones() -> dict[str, list[dict[str, list[str] | str]]]:
    """What mends a word that sounds like another, by the word."""
    by_word: dict[str, list[dict[str, list[str] | str]]] = {}
    for rule in read_data("homophones").get("homophone", []):
        by_word.setdefault(rule["word"], []).append(rule)
    return by_word


def _mend(tokens: Sequence[Token]) -> None:
    words = [t for t in tokens if t.sort == "word"]
    by_word = _homophones()
    for at, token in enumerate(words):
        for rule in by_word.get(token.norm, ()):
            before = words[at - 1].norm if at else ""
            after = words[at + 1].norm if at + 1 < len(words) else ""
            if "after" in rule and before not in rule["after"]:
                continue
            if "before" in rule and after not in rule["before"]:
                continue
            if "not_before" in rule and after in rule["not_before"]:
                continue
            if "not_after" in rule and before in rule["not_after"]:
                continue
            if rule["to"] == "fore" and token.norm == "four" and _as_many(words, at):
                continue
            token.norm = str(rule["to"])
            token.mended = True
            break


_LENGTHS = frozenset({"mil", "millimetres", "millimeters", "mils", "mm", "inches", "inch",
                      "degrees", "centimetres", "centimeters"})  # fmt: skip
_OTHER_SIDE = {"left": "right", "right": "left", "near": "off", "off": "near"}
_TO_A_SIDE = frozenset({"and", "on", "the", "in", "about", "at", "but", "just", "only", "it's"})
_IN_TURN = 6
"""Words between the other side and its number."""
_MORE_SAID = frozenset({"one", "two", "three", "four", "five", "six", "seven", "eight", "nine",
                        "ten", "eleven", "twelve", "is", "has", "was", "had", "a"})  # fmt: skip


def _as_many(words: Sequence[Token], at: int) -> bool:
    """ "On the left six mil, and on the right four": a number again, not the right fore."""
    if at + 1 < len(words) and words[at + 1].norm in _MORE_SAID:
        return False
    back = at - 2
    while back >= 0 and words[back].norm in _TO_A_SIDE:
        back -= 1
    if back < 1 or words[back].norm not in _LENGTHS:
        return False
    other = _OTHER_SIDE.get(words[at - 1].norm)
    return other in {w.norm for w in words[max(0, back - _IN_TURN) : back]}


def add_pauses(tokens: list[Token], gaps: Sequence[tuple[int, float]]) -> list[Token]:
    """Tokens with a ``pause`` mark where the speaker stopped.

    Args:
        tokens: tokens of the text.
        gaps: character position where a word starts and the silence before it in seconds.
    """
    at = dict(gaps)
    out: list[Token] = []
    for token in tokens:
        silence = at.get(token.start, 0.0)
        if out and silence >= 0.9 and out[-1].sort not in ("stop", "comma"):
            out.append(Token("|", token.start, token.start, "pause"))
        out.append(token)
    return out


def spacy_tokenizer(vocab: Any) -> Callable[[str], Any]:
    """A spaCy tokenizer that cuts exactly as ``tokenise`` does.

    The tokens stand in ``doc.user_data["tokens"]``, so spans can be carried between the two.
    """
    from spacy.tokens import Doc

    def make_doc(text: str) -> Any:
        tokens = [t for t in tokenise(text) if t.end > t.start]
        words = [text[t.start : t.end] for t in tokens]
        spaces = [
            at + 1 < len(tokens) and tokens[at + 1].start > t.end for at, t in enumerate(tokens)
        ]
        doc = Doc(vocab, words=words, spaces=spaces)
        doc.user_data["tokens"] = tokens
        return doc

    return make_doc


def tokenizer_config() -> dict[str, Any]:
    """The part of a spaCy config that asks for our tokenizer; spaCy then builds no other."""
    from spacy.util import registry

    if "fieldlog.words.v1" not in registry.tokenizers:
        registry.tokenizers.register(
            "fieldlog.words.v1", func=lambda: lambda nlp: spacy_tokenizer(nlp.vocab)
        )
    return {"nlp": {"tokenizer": {"@tokenizers": "fieldlog.words.v1"}}}
