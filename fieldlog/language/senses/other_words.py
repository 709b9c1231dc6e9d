"""Words that a pattern matched and that are another word's: "near fore | side bone", "I did check".

Each rule is asked for some kinds and ids only, in the order of the table at the end.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cache
from itertools import pairwise
from typing import NamedTuple

from fieldlog.language.senses.matched import Matched, matched
from fieldlog.language.senses.work_words import no_job
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token


def other_words(words: Sequence[Token], mark: Mark) -> bool:
    """ "Dressed the walls in | front", "I | never trimmed": the words belong elsewhere."""
    rules = _rules_for(mark.kind, mark.code)
    if not rules:
        return False
    said = matched(words, mark)
    for rule in rules:
        if (told := rule(said)) is not None:
            return told
    return False


# -- jobs ---------------------------------------------------------------------------------------


def _no_job(said: Matched) -> bool | None:
    """ "Brushing boots", "the last trim": what tells of no job by itself."""
    return True if no_job(said) else None


def _in_front(said: Matched) -> bool | None:
    """ "Dressed the walls in | front"."""
    return said.last in ("in", "up", "out") if said.after in ("front", "behind") else None


def _weeks_shod(said: Matched) -> bool | None:
    """ "He's five weeks shod"."""
    spans = ("weeks", "week", "days", "months")
    return True if said.first == "shod" and said.before in spans else None


def _put_a_one_degree(said: Matched) -> bool | None:
    """ "Put a | one degree wedge on it"."""
    counted = said.last == "one" and said.mark.size > 1
    return True if counted and said.after in ("degree", "degrees", "inch", "and") else None


def _trims(said: Matched) -> bool | None:
    """ "Before the trim left front three and five eighths", "another two trims and it's out"."""
    if said.before == "the" and said.led in ("before", "after", "since"):
        return True
    if said.first not in ("trim", "trims") or said.mark.size != 1:
        return None
    return said.before in _SOME_TRIMS


_SOME_TRIMS = frozenset({"two", "three", "four", "few", "more", "couple", "many", "another", "of",
                         "before", "after"})  # fmt: skip


def _when_measured(said: Matched) -> bool | None:
    """ "Toe angle before shoeing was forty-six": when it was measured."""
    if said.mark.size != 1 or said.before not in ("before", "after"):
        return None
    return said.first in ("shoeing", "trimming", "trim", "shoe", "resetting")


def _wedge_of(said: Matched) -> bool | None:
    """ "A wedge of flare"."""
    return said.after == "of" if said.mark.size == 1 else None


def _quoted(said: Matched) -> bool | None:
    """ "Quoted her one eighty for heart bars"."""
    return bool(said.lead(7) & _PRICED) if said.before == "for" else None


_PRICED = frozenset({"quoted", "quote", "charge", "charged", "price", "cost", "costs", "dollars",
                     "quid", "euro", "euros", "bucks", "pay", "paid", "pays", "owes"})  # fmt: skip


def _packed_by_the_road(said: Matched) -> bool:
    """ "Dirt packed in", "packed with grit": not by us."""
    mark = said.mark
    beside = (*range(mark.start - 2, mark.start), *range(mark.end, mark.end + 2))
    return any(said.word(i) in _MUCK for i in beside)


_MUCK = frozenset({"grit", "dirt", "mud", "muck", "stones", "gravel", "sand", "clay", "snow",
                   "manure", "rubbish", "debris", "dung", "stone"})  # fmt: skip


# -- visits -------------------------------------------------------------------------------------


def _came_in(said: Matched) -> bool | None:
    """ "Come in lame": how the horse came."""
    if said.mark.size != 2 or said.last != "in":
        return None
    return said.first in ("come", "comes", "coming")


def _did_check(said: Matched) -> bool | None:
    """ "I did check that twice"."""
    if said.before not in _HAVE_DONE:
        return None
    return said.first not in ("see", "keep", "keeping")


_HAVE_DONE = frozenset({"did", "didn't", "already", "have", "i've", "'ve"})


def _heels_come_back(said: Matched) -> bool | None:
    """ "The heels come back to the last bearing point"."""
    if said.after not in ("to", "the", "a"):
        return None
    beyond = said.mark.end + (said.after == "to")
    comes = said.first in ("come", "comes", "coming") and said.last == "back"
    more = said.mark.end + 1 < len(said.words)
    return comes and more and said.word(beyond) in ("the", "where", "a")


def _do_till(said: Matched) -> bool | None:
    """ "That'll do till the tenth"."""
    return True if said.after in ("till", "until") else None


# -- findings and handling ----------------------------------------------------------------------


def _rests(said: Matched) -> bool | None:
    """ "Resting till January": from work."""
    if said.first not in ("resting", "rests"):
        return None
    return said.after in ("till", "until", "for", "over", "through")


def _nearly(said: Matched) -> bool | None:
    """ "Nearly quicked him", "almost lost the shoe": it did not happen."""
    return True if said.before in ("almost", "nearly") else None


def _hot_fit(said: Matched) -> bool | None:
    """ "Hot fit", "hot shod"."""
    if said.mark.size != 1 or said.first != "hot":
        return None
    return said.after in ("fit", "fitted", "fitting", "shod", "shoe", "shoed", "set")


def _shoe_on_the_off(said: Matched) -> bool | None:
    """ "A plain open shoe on the | off": a side."""
    if said.last != "off":
        return None
    return said.mark.size > 2 and said.word(said.mark.end - 2) in ("the", "his", "her")


def _with_a_tool(said: Matched) -> bool | None:
    """ "Went over it with | the testers": nobody was spoken to."""
    return True if said.last == "with" and said.behind(3) & _TOOLS else None


_TOOLS = frozenset({"tester", "testers", "rasp", "knife", "brush", "pick", "gun", "gauge", "tape",
                    "ruler", "thumb", "thumbs", "hand", "hands", "file", "buffer"})  # fmt: skip


def _wears_shoes(said: Matched) -> bool | None:
    """ "First time he's ever | worn steel", "he's never | worn shoes": shod, not worn out."""
    if said.first != "worn" or said.mark.size != 2:
        return None
    return said.before in ("ever", "never", "always", "has", "have", "had", "'s", "'ve", "'d",
                           "hasn't", "not", "hadn't", "only")  # fmt: skip


def _quick(said: Matched) -> bool | None:
    """ "Be quick", "that's quick"."""
    if said.first != "quick" or said.mark.size != 1:
        return None
    return said.before in ("be", "so", "too", "very", "pretty", "real", "as", "was", "it", "that's")


def _never_green(said: Matched) -> bool | None:
    """ "I | never ..."."""
    return said.first == "never" and said.before in ("i", "we")


def _not_used(said: Matched) -> bool:
    """ "Put the twitch away", "twitch stayed in the truck", "had the twitch out, never used it"."""
    end = said.mark.end
    after = [w.norm for w in said.words[end : end + 7]]
    if after[:1] and after[0] in _PUT_BY and after[:2] != ["back", "on"]:
        return True
    if said.led in ("left", "leave", "leaving") and said.before in ("the", "my", "a"):
        return after[:1] != ["on"] or "hook" in after
    return any(
        a in _UNUSED and b in ("used", "use", "using", "need", "needed", "wanted")
        for a, b in pairwise(after)
    )


_PUT_BY = frozenset({"away", "down", "back", "stayed", "stays", "in"})
_UNUSED = frozenset({"never", "didn't", "without", "wasn't"})


# -- places and feet ----------------------------------------------------------------------------


def _side_bone(said: Matched) -> bool | None:
    """ "Near fore | side bone"."""
    return True if said.last == "side" and said.after in ("bone", "bones") else None


def _all_for(said: Matched) -> bool | None:
    """ "Trimmed all for reset the fronts": all four, heard so; not "that's all for today"."""
    if (said.first, said.last) != ("all", "for"):
        return None
    done = said.before.endswith("ed") or said.before in ("shod", "reset", "did", "trim", "done")
    return not done or said.after in _FOR_WHOM


_FOR_WHOM = frozenset({"him", "her", "them", "me", "the", "a", "an", "this", "that", "now", "free",
                       "nothing", "show", "today", "it", "you", "naught", "nought", "his",
                       "my"})  # fmt: skip


def _healed(said: Matched) -> bool | None:
    """ "Ninety percent healed", where a heel is not meant."""
    if said.first != "healed" or said.mark.size != 1:
        return None
    behind = said.after in ("up", "over", "well", "nicely", "and", "now")
    return behind or said.before in _GETS_WELL


_GETS_WELL = frozenset({"percent", "is", "'s", "has", "nearly", "all", "fully", "well", "it",
                        "completely", "been", "half", "almost", "mostly"})  # fmt: skip


def _and_left_it(said: Matched) -> bool | None:
    """ "On the right and | left the other one alone"."""
    if said.mark.size <= 2 or said.last != "left":
        return None
    return said.after in _LEFT_WHAT


_LEFT_WHAT = frozenset({"the", "it", "him", "her", "them", "that", "his", "alone", "bare",
                        "plenty"})  # fmt: skip


def _wide_at_the_back(said: Matched) -> bool | None:
    """ "An inch wide at the back": of the frog or the foot in hand."""
    if said.mark.size != 3 or said.last != "back":
        return None
    return said.before in _MEASURED


_MEASURED = frozenset({"wide", "long", "deep", "narrow", "wider", "narrower", "inch", "inches",
                       "mil", "open", "split", "low", "high", "thin", "short"})  # fmt: skip


class _Asked(NamedTuple):
    """A rule, and the kinds or the ids of the marks that it is asked for."""

    rule: Callable[[Matched], bool | None]
    """Whether the words are another word's; None if the rule says nothing of them."""
    kinds: tuple[str, ...] = ()
    codes: tuple[str, ...] = ()


_ORDER = (
    _Asked(_no_job, kinds=("work",)),
    _Asked(_side_bone, kinds=("foot",)),
    _Asked(_all_for, kinds=("foot",)),
    _Asked(_rests, codes=("shifting_weight",)),
    _Asked(_nearly, codes=("quick_nail", "shoe_lost", "kicked", "bit")),
    _Asked(_in_front, kinds=("work", "followup", "handling")),
    _Asked(_came_in, codes=("recheck",)),
    _Asked(_did_check, codes=("recheck", "check_weak")),
    _Asked(_heels_come_back, codes=("recheck", "next_trim")),
    _Asked(_weeks_shod, kinds=("work",)),
    _Asked(_put_a_one_degree, kinds=("work",)),
    _Asked(_do_till, codes=("end_horse",)),
    _Asked(_trims, codes=("trim",)),
    _Asked(_hot_fit, codes=("heat",)),
    _Asked(_shoe_on_the_off, codes=("shoe_lost",)),
    _Asked(_when_measured, kinds=("work",)),
    _Asked(_wears_shoes, codes=("shoe_worn",)),
    _Asked(_with_a_tool, kinds=("advice",)),
    _Asked(_wedge_of, codes=("wedge",)),
    _Asked(_quick, codes=("quick_nail",)),
    _Asked(_healed, kinds=("place",)),
    _Asked(_quoted, kinds=("work",)),
    _Asked(_packed_by_the_road, codes=("packing",)),
    _Asked(_and_left_it, kinds=("foot",)),
    _Asked(_wide_at_the_back, kinds=("foot",)),
    _Asked(_not_used, codes=("twitched",)),
    _Asked(_never_green, codes=("green",)),
)


@cache
def _rules_for(kind: str, code: str) -> tuple[Callable[[Matched], bool | None], ...]:
    """The rules that are asked for a kind or an id; of most marks none is."""
    return tuple(a.rule for a in _ORDER if kind in a.kinds or code in a.codes)
