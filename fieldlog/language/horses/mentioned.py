"""A known name in the middle of a note: whose turn it now is, or a horse only spoken of.

Where several horses of the records are named in one note, each name begins that horse's part unless
the words before it only speak of the horse ("same as Copper", "next to Nell"), or what is told of
it came first ("thrush on Pippin's off hind", "four weeks for Percy").
"""

from __future__ import annotations

from collections.abc import Sequence, Set
from enum import Enum, auto

from fieldlog.language.horses.naming import (
    BEASTS,
    BREAKS,
    COLOURS,
    SEXES,
    NameAt,
    has_stops,
    herd_words,
)
from fieldlog.language.horses.same_words import same_said
from fieldlog.language.lexicon import word_set
from fieldlog.language.words.known_words import vocabulary
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

_LEADS = word_set("leads_to_name")
_TALK = word_set("only_talk_before_name")
_OF_IT = frozenset({"on", "for", "of", "in", "with"})
"""Between what is told and the horse that it is told of."""
_MOVES = frozenset({"on", "over", "back", "up", "down", "round", "across", "come", "came", "go",
                    "going", "move", "moved", "moving", "now", "get", "getting"})  # fmt: skip
"""Before "to": the farrier walks over."""
_GOES_ON = frozenset({"is", "'s", "was", "has", "had", "needs", "got", "not", "didn't",
                      "who", "that", "next", "first", "no", "she", "he", "i", "gets"})  # fmt: skip
"""Behind a name: something is told of that horse."""
_IS = frozenset({"is", "'s", "was"})
_BEGINS = frozenset({"and", "then", "now", "next", "okay", "ok", "so", "but", "oh", "also"})
"""Words that begin a clause, where no stop is written."""
_KIN = word_set("kin_of_a_horse")
_LOOKS = COLOURS | SEXES | BEASTS | _KIN
_WORDS = herd_words("turns")
_NEAR = 5
"""Words behind a name in which it may be said that it is no horse's."""
_GONE = frozenset({"sold", "died", "dead", "passed", "buried"})


class Said(Enum):
    """How a name is said."""

    OPENS = auto()
    """What follows is of this horse."""
    CLOSES = auto()
    """What stands before it in its clause is of this horse."""
    TALK = auto()
    """The horse is only spoken of."""


def how_said(
    words: Sequence[Token], at: NameAt, names: Sequence[NameAt], telling: Set[int]
) -> Said:
    """How a known name is said where several horses are named.

    Args:
        words: those of the note.
        at: the name.
        names: all names of the note.
        telling: words that tell of a foot, a finding, a job, a time...
    """
    begin, end, _ = at
    if of_another(words, end):
        return Said.TALK
    before = _before(words, begin)
    listed = not has_stops(words) and any(b in (end, end + 1) for b, _, _ in names)
    if before is None or listed or any(e == before + 1 for _, e, _ in names):
        return Said.OPENS
    word = words[before].norm
    if word == "as" and words[before - 1].norm in _WORDS["put_down"]:
        return Said.OPENS
    if (word in _WORDS["say"] and has_stops(words)) or (word == "at" and _moved(words, before)):
        return Said.CLOSES
    if word in _TALK and before not in telling:  # "trimmed behind" tells of the hinds
        return Said.TALK
    if word in _OF_IT:
        return _said_of(words, before, telling)
    if before in telling and begin - 1 == before and has_stops(words):
        return Said.CLOSES
    if word == "at" and words[before - 1].norm.startswith("look"):
        return Said.CLOSES
    if word == "to":
        return Said.OPENS if _moved(words, before) else Said.TALK
    if word in _IS and _possessive(words, end) and _told_before(words, before, telling):
        return Said.CLOSES
    return Said.TALK if has_stops(words) else _without_stops(words, begin, end, telling)


def _moved(words: Sequence[Token], before: int) -> bool:
    """Whether the farrier walks over: "going back, like, to Moe"."""
    lead = [w.norm for w in words[max(0, before - 4) : before] if w.sort == "word"]
    lead = [norm for norm in lead if norm != "like"]
    return bool(lead) and lead[-1] in (_MOVES if words[before].norm == "to" else {"back"})


def _said_of(words: Sequence[Token], before: int, telling: Set[int]) -> Said:
    """ "On Pippin, the off hind", or "thrush on Pippin" and "six weeks for Pippin"."""
    lead = _before(words, before)
    if lead is None or words[lead].norm == "same":
        return Said.OPENS
    if has_stops(words):
        return Said.CLOSES if _told_before(words, before, telling) else Said.TALK
    if before - 1 in telling:
        return Said.CLOSES
    return Said.OPENS if words[before].norm == "on" else Said.TALK


def _without_stops(words: Sequence[Token], begin: int, end: int, telling: Set[int]) -> Said:
    """A name among words without stops opens, but one of ordinary words ("star") only where
    something is told right behind it, or beside another name."""
    if not all(w.norm in vocabulary() for w in words[begin:end]):
        return Said.OPENS
    behind = [w.norm for w in words[end : end + 1]]
    goes_on = bool(set(behind) & _GOES_ON) or bool({end, end + 1} & telling)
    goes_on = goes_on or bool(same_said(words, end))
    return Said.OPENS if not behind or goes_on else Said.TALK


def behind_looks(words: Sequence[Token], begin: int) -> bool:
    """ "Bay colt, Lot Forty": a name right behind looks that begin a clause."""
    if not _behind_looks(words, begin):
        return False
    return clause_start(words, begin - 2) >= begin - 2 - _NEAR + 1


def appended(words: Sequence[Token], begin: int, telling: Set[int]) -> bool:
    """ "I trimmed her wee Shetland, Tam": a name behind the looks of the horse that was done."""
    return _behind_looks(words, begin) and _told_before(words, begin - 2, telling)


def _behind_looks(words: Sequence[Token], begin: int) -> bool:
    """Whether a comma stands before a name, and looks or kin before that."""
    return begin > 1 and words[begin - 1].sort == "comma" and words[begin - 2].norm in _LOOKS


def of_another(words: Sequence[Token], end: int) -> bool:
    """ "Juno's owner", "Juno was sold": no word about her feet follows."""
    behind = [w.norm for w in words[end : end + 3]]
    if behind[:1] == ["'s"] and behind[1:2] and behind[1] in _KIN | word_set("owner_words"):
        return True
    return bool(set(behind[:2]) & _GONE) or _no_horse(words, end)


def _no_horse(words: Sequence[Token], end: int) -> bool:
    """ "Possum is the barn cat", "Billy, the goat"."""
    behind = [w.norm for w in words[end : end + _NEAR]]
    is_told = behind[:1] in (["is"], ["'s"], [","])
    return is_told and (
        bool(set(behind) & _WORDS["no_horse"]) or behind[1:4] == ["not", "a", "horse"]
    )


def owner_said(words: Sequence[Token], end: int) -> bool:
    """ "Juno's owner" right behind the name: what follows is Juno's, if she was told of before."""
    behind = [w.norm for w in words[end : end + 2]]
    return behind[:1] == ["'s"] and bool(set(behind[1:]) & word_set("owner_words"))


def _possessive(words: Sequence[Token], end: int) -> bool:
    """ "The crack is Daisy's." """
    after = words[end + 1].sort if end + 1 < len(words) else "stop"
    return end < len(words) and words[end].norm == "'s" and after in BREAKS


def _before(words: Sequence[Token], begin: int) -> int | None:
    """The last word before a name that does not merely lead to it; None if a clause begins there,
    by a stop or by a word like "and"."""
    at = begin - 1
    while at >= 0 and (_leads(words, at) or words[at].sort == "filler"):
        if words[at].norm in _BEGINS:
            return None
        at -= 1
    return None if at < 0 or words[at].sort in BREAKS else at


def _leads(words: Sequence[Token], at: int) -> bool:
    """Whether a word may stand between the start of a clause and a name."""
    if words[at].norm in ("it", "that", "this", "here", "there"):
        return words[at + 1].norm in _IS
    return words[at].norm in _LEADS


def leads_only(words: Sequence[Token], begin: int) -> bool:
    """Whether only words that lead to it ("and", "on", "for") stand before a word in its clause."""
    at = begin
    while True:
        before = _before(words, at)
        if before is None or words[before].norm not in _OF_IT:
            return before is None
        at = before


def lead_start(words: Sequence[Token], begin: int) -> int:
    """The first of the words that lead to a name ("oh, and on Pippin"), as stops show it."""
    if not has_stops(words):
        return begin
    at = clause_start(words, begin)
    while at > 0 and words[at - 1].sort == "comma" and leads_only(words, at - 1):
        at = clause_start(words, at - 1)
    return at


def _told_before(words: Sequence[Token], before: int, telling: Set[int]) -> bool:
    return any(at in telling for at in range(clause_start(words, before), before + 1))


def clause_start(words: Sequence[Token], at: int) -> int:
    """The first word of the clause in which a word stands, as stops and commas show it."""
    while at > 0 and words[at - 1].sort not in BREAKS:
        at -= 1
    return at


def closing_start(words: Sequence[Token], begin: int, marks: Sequence[Mark]) -> int:
    """The first word of what is told before a name that closes its clause; without stops, of the
    one thing that is told right before it."""
    if has_stops(words):
        at = begin - 1 if begin and words[begin - 1].sort == "comma" else begin
        return clause_start(words, at)
    before = _before(words, begin)
    starts = [m.start for m in marks if before is not None and m.end == before and m.tells()]
    return min(starts, default=begin)
