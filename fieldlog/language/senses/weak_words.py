"""Weak words ("back", "gravel", "vet"): marks only beside what makes them mean something."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from fieldlog.language.senses.matched import Matched, matched
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token

_IS = frozenset({"is", "'s", "are", "was", "were", "has", "had"})
_ENDS = frozenset({"fore", "hind", "front", "rear", "back"})


def strong(words: Sequence[Token], mark: Mark, times: set[int]) -> bool:
    """Whether a mark's words stand beside what makes them mean something.

    Args:
        words: the significant words.
        mark: a candidate.
        times: the first words of times.
    """
    if mark.item is None:
        if mark.code not in _BY_ROLE:
            return True
        return not _BY_ROLE[mark.code](matched(words, mark), times)
    said = matched(words, mark)
    if _of_the_next_foot(said):
        return False
    rule = _BY_CODE.get(mark.item.id)
    told = rule(said, times) if rule is not None else None
    return told if told is not None else _has_what_it_needs(said, times)


def _has_what_it_needs(said: Matched, times: set[int]) -> bool:
    """A time, an "owner ... to", an "if" beside words that are weak without it."""
    mark = said.mark
    needs = mark.item.more if mark.item is not None else {}
    if needs.get("needs_time"):
        return bool(times & {mark.end, mark.end + 1})
    if needs.get("needs_owner"):
        return said.before in _SHOULD
    if needs.get("needs_if"):
        named = bool(times & {mark.end + 1, mark.end + 2})
        return said.after in _IF or mark.end in times or named
    return True


_SHOULD = frozenset({"to", "'ll", "will", "should", "can", "must", "and"})
_IF = frozenset({"if", "unless", "when", "should"})


# -- roles --------------------------------------------------------------------------------------


def _back_then(said: Matched, times: set[int]) -> bool:
    """ "Back Friday" is no history."""
    return said.first == "back" and said.mark.end in times


def _new_one_starting(said: Matched, times: set[int]) -> bool:
    """ "There's a new one starting on the left front", "a hairline starting below it"."""
    if said.last == "one" and said.after in _GROWS:
        return True
    return said.first.startswith("start") and said.after in _WHERE_IT_STARTS


_BY_ROLE: dict[str, Callable[[Matched, set[int]], bool]] = {
    "history_after": _back_then,
    "new_horse": _new_one_starting,
}
"""Roles that other words make something else."""
_GROWS = frozenset({"starting", "coming", "beginning", "forming", "developing", "on", "in", "at"})
_WHERE_IT_STARTS = frozenset({"below", "above", "at", "in", "from", "under", "up", "down", "half",
                              "about", "an", "off", "just", "near"})  # fmt: skip


# -- words of the vocabulary --------------------------------------------------------------------


def _of_the_next_foot(said: Matched) -> bool:
    """ "Trimmed it, off | hind...", "off fore is clean, the near fore..."."""
    if said.last in ("off", "near") and said.after in _ENDS:
        return True
    clean = said.first == "clean" and said.mark.kind in ("followup", "work")
    return clean and (said.before in _ENDS or said.before in _IS)


def _vet(said: Matched, times: set[int]) -> bool | None:
    """ "It's bleeding. Vet.", "if she isn't better by Saturday, vet", "vet if it's worse"."""
    left = said.words[said.mark.start - 1].norm
    if said.after in ("", ".") and left == ".":
        return said.mark.start > 0
    if said.after in ("", ".", "|") and (left == "," or left.endswith("day")):
        return "if" in said.lead(12)
    return True if said.after in ("if", "unless") else None


def _next_trim(said: Matched, times: set[int]) -> bool | None:
    """ "Come do the hinds in a week"; "reset hinds, seven weeks" tells of what was done."""
    end = said.mark.end
    if said.last in ("the", "his", "her", "both"):
        return bool(times & set(range(end, end + 5)))
    if said.after in ("hinds", "fronts", "all", "both", "behind"):
        return end in times
    return None


def _our_nail(said: Matched, times: set[int]) -> bool | None:
    """ "Put a new nail in": ours, not one it trod on."""
    mark = said.mark
    lead = [w.norm for w in said.words[max(0, mark.start - 4) : mark.end]]
    ours = lead[-2:] == ["nail", "in"] and not {"new", "another", "fresh"}.isdisjoint(lead)
    return False if ours else None


def _lame(said: Matched, times: set[int]) -> bool | None:
    """ "He's a bit off"; not "took it off", nor "thrush all gone, off | hind"."""
    if said.last != "off":
        return None
    return said.before not in _TAKES and said.after not in _OFF_WHAT


_TAKES = ("took", "take", "taken", "taking")
_OFF_WHAT = frozenset({"fore", "hind", "front", "side", "fores", "hinds", "the", "both", "each",
                       "his", "her", "from"})  # fmt: skip


def _nothing_on(said: Matched, times: set[int]) -> bool | None:
    """ "Nothing on."; "trimmed all four nothing on | left front toe": bare, and the next foot."""
    mark = said.mark
    if mark.size == 2 and said.first == "no":
        return said.last == "shoes" or _no_iron(said)
    if mark.size != 2 or said.last != "on":
        return None
    if {said.after, said.word(mark.end + 1)} & _TURNED_TO:
        then = {w.norm for w in said.words[mark.end + 1 : mark.end + 3]}
        return bool(said.lead(6) & _TRIMMED and then & _TOLD_OF_A_FOOT)
    return said.after in ("", ",", ".", ";", "and", "so", "|", "but")


def _bare_said(said: Matched, times: set[int]) -> bool | None:
    """ "Pulled it, left it off", "she'd nothing on"; "he had nothing on | the testers"."""
    if said.last == "off" and said.word(said.mark.end - 2) in ("it", "one", "them"):
        return bool(said.lead(30) & _OF_SHOES)
    if said.last != "on" or said.word(said.mark.end - 2) != "nothing":
        return None
    return said.after in _CLOSES or said.after in _NOW


def _no_iron(said: Matched) -> bool:
    """ "Trim, no shoe, he's too young"; not "no shoe pressure", "no shoe lost"."""
    return said.after in _CLOSES or said.after in _SAYS_WHY or said.after in _WHERE


_CLOSES = frozenset({"", ",", ".", ";", "|", "and", "so", "but"})
_SAYS_WHY = frozenset({"he", "she", "it", "they", "because", "cause", "for", "till", "until", "as",
                       "this", "yet", "now", "needed", "today", "at", "on"})  # fmt: skip
_WHERE = frozenset({"behind", "in"})
_OF_SHOES = frozenset({"shoe", "shoes", "plate", "plates", "pulled", "sprung", "shod"})
_NOW = frozenset({"now", "still", "when", "behind", "before", "him", "her"})
_TURNED_TO = frozenset({"fore", "hind", "front", "rear", "hinds", "fronts", "fores"})
_TRIMMED = frozenset({"trim", "trimmed", "trims", "trimming", "barefoot", "pulled"})
_TOLD_OF_A_FOOT = frozenset({"toe", "heel", "heels", "toes", "angle", "is", "are", "'s", "has",
                             "had", "was", "were", "got", "frog", "sole"})  # fmt: skip


def _gravel(said: Matched, times: set[int]) -> bool | None:
    """ "Gravel breaking out at the hairline": an abscess; not "he's on gravel"."""
    if said.first != "gravel" or said.mark.size != 1:
        return None
    if said.before in _ROAD:
        return False
    near = said.lead(8) | said.behind(6)
    return bool(near & _ABOUT_A_FOOT) or said.before in _A_GUESS


_ROAD = frozenset({"on", "and", "over", "the", "in", "of", "some", "pea", "road", "needs", "by"})
_ABOUT_A_FOOT = frozenset({"left", "right", "hind", "front", "fore", "foot", "hoof", "heel", "toe",
                           "hairline", "coronet", "testers", "sole"})  # fmt: skip
_A_GUESS = frozenset({"be", "say", "says", "figure", "reckon", "reckons", "think", "thinks",
                      "suspect", "guess", "bet", "probably", "maybe", "possibly", "it", "a",
                      "was"})  # fmt: skip


def _never_got_to(said: Matched, times: set[int]) -> bool | None:
    """ "Never got | to the hinds", "didn't get | round to it"."""
    if said.last not in ("got", "get"):
        return None
    return said.after in ("to", "at", "round", "near", "around")


def _sensitive(said: Matched, times: set[int]) -> bool | None:
    """ "Sensitive at the toe"; not "the sensitive", which is a part of the foot."""
    return said.before != "the" if said.first == "sensitive" else None


def _turned_in(said: Matched, times: set[int]) -> bool | None:
    """ "Turned in a bit"; not "turned in | the mud"."""
    if said.after not in _NOT_TURNED_IN:
        return None
    later = said.word(said.mark.end + 1)
    return said.after == "a" and later in ("bit", "shade", "touch", "little", "tad", "hair")


_NOT_TURNED_IN = frozenset({"front", "the", "both", "all", "a", "it", "his", "her", "that", "mud",
                            "water", "there", "line", "with"})  # fmt: skip


def _shoe_presses(said: Matched, times: set[int]) -> bool | None:
    """ "Might be shoe pressure", "just the shoe"."""
    if said.mark.size != 2 or said.after == "pressure":
        return None
    return said.before in _A_CAUSE


_A_CAUSE = frozenset({"be", "just", "or", "it's", "maybe", "from", "by", "is", "possibly",
                      "probably"})  # fmt: skip


def _lost(said: Matched, times: set[int]) -> bool | None:
    """ "The shoe stays off until Saturday": left off, and not lost."""
    own = {w.norm for w in said.words[said.mark.start : said.mark.end]}
    return False if own & {"stays", "stay", "staying"} else None


_BY_CODE: dict[str, Callable[[Matched, set[int]], bool | None]] = {
    "vet_weak": _vet,
    "next_trim_weak": _next_trim,
    "penetrating_object": _our_nail,
    "lameness": _lame,
    "barefoot": _nothing_on,
    "bare_said": _bare_said,
    "abscess": _gravel,
    "shoe_lost": _lost,
    "not_examined": _never_got_to,
    "sore": _sensitive,
    "toed_in": _turned_in,
    "shoe_pressure": _shoe_presses,
}
"""What is asked of some ids' words; None where their words are strong enough."""
