"""Words of a job that tell of no job: other boots, the horse's own doing, counts of jobs, goods."""

from __future__ import annotations

from collections.abc import Callable

from fieldlog.language.senses.matched import Matched
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line, UnitSaid

_OTHER_BOOTS = frozenset({"cowboy", "ice", "wellington", "welly", "rubber", "riding", "bell",
                          "brushing", "tendon", "jumping", "work", "muck", "my", "stable",
                          "overreach"})  # fmt: skip
_COUNTED = frozenset({"two", "three", "four", "five", "six", "seven", "eight", "nine", "ten",
                      "eleven", "twelve", "few", "more", "couple", "many", "another"})  # fmt: skip
_ORDER = frozenset({"first", "second", "third", "fourth", "last", "next", "another", "every"})
_CHIPPED = frozenset({"chip", "chips", "chipped", "crack", "cracks", "broken", "broke"})
_MUCK = frozenset({"muck", "crud", "dirt", "manure", "mud", "rubbish", "grit", "gravel", "dung",
                   "stones", "sand", "filth"})  # fmt: skip
_VISITS = frozenset({"one", "each", "every", "last", "next", "first", "a", "the", "of", "this",
                     "per", "between", "second", "third", "previous", "for"})  # fmt: skip
_FLARE = frozenset({"flare", "flares", "flared", "flaring", "dish", "wing", "bell", "lip", "ledge",
                    "flap", "rim", "bulge"})  # fmt: skip
_IRON = frozenset({"shoe", "shoes", "plate", "plates", "bar", "pad", "pads", "clip", "clips",
                   "boot", "nail", "nails", "clinches", "clenches"})  # fmt: skip
_NOT_IRON = frozenset({"nail", "nails", "logs", "log", "cart", "carts", "wagon", "wagons", "plough",
                       "plow", "rock", "stone", "thorn", "splinter"})  # fmt: skip
_STUCK = frozenset({"nail", "screw", "wire", "thorn", "quicked", "pricked", "rock", "stone"})
_EDGES = frozenset({"smooth", "edge", "edges", "flush", "flat"})
_CLINCHES = frozenset({"clinch", "clinches", "clench", "clenches"})
_PUTS = frozenset({"put", "puts", "putting", "drops", "sets", "setting", "stands", "standing",
                   "sat", "with", "landed", "lands", "keeps"})  # fmt: skip


def no_job(said: Matched) -> bool:
    """Whether the words of a job tell of none here."""
    rule = _NO_JOB.get(said.mark.code)
    return rule is not None and rule(said)


def _bar_the_off(said: Matched) -> bool:
    """ "All trimmed bar the off fore"; "took that bar down", where it stood on its bars."""
    if said.last == "bar":
        return said.after in _THE or said.after in _ENDS
    return _took_down(said)


def _took_down(said: Matched) -> bool:
    """ "Took it down": of what was spoken of; "puts it down" is the horse's doing."""
    if said.last not in ("down", "back", "off"):
        return False
    puts = not {said.before, said.first, said.led}.isdisjoint(_PUTS)
    if said.mark.size > 2 and said.word(said.mark.start + 1) in _THAT:
        return puts or said.mark.code != _down(said)
    return puts and said.mark.code == "lower_heel"


def _left_hind(said: Matched) -> bool:
    """ "Thrush | left hind not as bad as it was"."""
    if said.first != "left" or said.mark.size <= 2:
        return False
    side = said.word(said.mark.start + 1) in _OF_A_SIDE
    return side and said.before not in ("i", "and", "we")


def _nothing_but(said: Matched) -> bool:
    """ "Trimmed nothing but the fronts"."""
    return said.last == "nothing" and said.after in _ONLY


def _packed_muck(said: Matched) -> bool:
    """ "Packed muck", "packed with gravel"."""
    if said.after in _MUCK:
        return True
    return said.after == "with" and said.word(said.mark.end + 1) in _MUCK


def _no_trim(said: Matched) -> bool:
    """ "The last trim", "trim cycle", "two trims", and what a rasp is taken over."""
    if said.first == "trim" and said.last == "trim" and said.mark.size == 1:
        if said.after == "four" and said.word(said.mark.end + 1) in ("feet", "corners", "hooves"):
            return False
        return said.before in _ORDER or said.after in ("cycle", "two", "three", "four", "number")
    if said.first == "trims":
        return said.before in _COUNTED
    return _rasped_an_edge(said)


def _rasped_an_edge(said: Matched) -> bool:
    """ "Chip at the quarter, tidied it", "rasped the clinches smooth": no trim of the foot."""
    tidied = said.first in ("rasped", "tidied") and bool(said.lead(14) & _CHIPPED)
    if tidied and {said.after, said.last} & {"it", "that"}:
        return True
    if said.first not in ("rasped", "rasping", "rasp"):
        return False
    return bool(({said.last} | said.behind(4)) & _EDGES) or bool(said.lead(14) & _CLINCHES)


def _other_boots(said: Matched) -> bool:
    """ "Brushing boots", "lost a boot", "bring the boots", "her boots on": none that we put on."""
    if {"bring", "lost", "knee"} & said.lead(5):
        return True
    if said.after in _HAVE_RUBBED or {"talked", "spoke"} & said.lead(3):
        return True
    return said.before in _OTHER_BOOTS or (said.before == "her" and said.led == "on")


_HAVE_RUBBED = frozenset({"have", "has", "rubbed", "rub", "rubbing", "'ve", "had"})


def _no_shoe(said: Matched) -> bool:
    """ "Last shoeing", "nail missing, replaced it", "a pair of shoes", "shod by some fella"."""
    if said.last == "shod" and said.after == "by":
        return said.word(said.mark.end + 1) not in ("me", "us", "my")
    if said.first == "shoeing" and said.last == "shoeing":
        return said.before in _VISITS
    if said.first in ("replaced", "replace", "replacing"):
        lead = said.lead(14)
        return bool(lead & {"nail", "nails", "pad", "pads"}) and not lead & {"shoe", "shoes"}
    pairs = ("box", "boxes", "bag", "bags", "pair", "pairs")
    return said.before == "of" and said.led in pairs and said.first != "new"


def _took_it_off(said: Matched) -> bool | None:
    """ "Bit of flare, took it off" dresses it, "left shoe's loose, took it off" pulls it."""
    if said.last != "off" or said.mark.size != 3:
        return None
    if said.word(said.mark.start + 1) not in ("it", "them", "that"):
        return False
    lead = said.lead(14)
    flare, iron = bool(lead & _FLARE), bool(lead & _IRON)
    return not flare if said.mark.code == "dress_flare" else flare and not iron


def _no_flare(said: Matched) -> bool:
    return bool(_took_it_off(said))


def _no_pull(said: Matched) -> bool:
    """ "Pulled the nail through", "pulled a thorn out": no shoe comes off."""
    if (other := _took_it_off(said)) is not None:
        return other
    if _only_liked(said):
        return True
    own = {w.norm for w in said.words[said.mark.start : said.mark.end]}
    it, lead = {"it", "that", "them"} & ({said.after} | own), said.lead(14)
    stuck = bool(said.behind(3) & _NOT_IRON) or bool(it and said.last != "off" and lead & _STUCK)
    stuck = stuck and not lead & {"shoe", "shoes"}
    return said.after in ("through", "in", "up") or stuck or _pulls_a_nail(said, lead)


def _only_liked(said: Matched) -> bool:
    """ "I'd like to get the shoes off her over the winter": a wish, with no visit named for it."""
    liked = said.before == "to" and said.led in ("like", "love", "prefer")
    return liked and not said.behind(9) & {"next", "time", "visit", "weeks", "week", "then"}


def _one_nail(said: Matched) -> bool:
    """ "Pulled one nail, reset that one", "put fronts back on | new": no shoe is reset."""
    if said.after == "new":
        return said.last == "on"
    lead = said.lead(24)
    one = said.after in ("that", "it") or said.last in ("it", "that")
    return one and bool(lead & _NAILS) and not lead & _SHOES


def _but_trimmed(said: Matched) -> bool:
    """ "Left the other hind alone except for a trim"."""
    behind = said.behind(5)
    return bool(behind & {"except", "apart", "bar"}) and bool(behind & {"trim", "trimming"})


def _left_alone(said: Matched) -> bool:
    return _left_hind(said) or _but_trimmed(said)


def _popped_a_stone(said: Matched) -> bool:
    """ "Stone in the groove, popped it out"."""
    if said.first != "popped":
        return False
    return bool(said.lead(24) & {"stone", "stones", "rock", "pebble", "gravel", "shoe", "flint"})


def _rounded_to(said: Matched) -> bool:
    """ "Rounded to", "round it up": a number, or what is done to a horse."""
    if said.first not in ("rounded", "round"):
        return False
    it = said.mark.size > 1 and said.word(said.mark.start + 1) == "it"
    return said.after == "to" or (it and said.after == "up")


def _poultice_off(said: Matched) -> bool:
    """ "Poultice off", "poultice comes off"."""
    comes = said.after in ("stays", "comes", "came") and said.word(said.mark.end + 1) == "off"
    return said.after == "off" or comes


def _picked_for(said: Matched) -> bool:
    """ "Picked for the show"."""
    return said.first == "picked" and said.after == "for"


def _tapped_the(said: Matched) -> bool:
    """ "Tapped the wall"."""
    return said.first == "tapped" and said.after == "the"


_NO_JOB: dict[str, Callable[[Matched], bool]] = {
    "pare_bar": _bar_the_off,
    "lower_heel": _took_down,
    "clinch": _took_down,
    "leave_alone": _left_alone,
    "reset": _one_nail,
    "trim_not": _nothing_but,
    "packing": _packed_muck,
    "trim": _no_trim,
    "boot": _other_boots,
    "shoe": _no_shoe,
    "dress_flare": _no_flare,
    "pull": _no_pull,
    "open_track": _popped_a_stone,
    "roll_toe": _rounded_to,
    "poultice": _poultice_off,
    "clean_out": _picked_for,
    "studs": _tapped_the,
}
"""What is asked of a job's words, by its id."""
_THAT = frozenset({"it", "them", "that", "those"})
_OF_A_SIDE = frozenset({"hind", "front", "fore", "rear", "foot", "one"})
_THE = frozenset({"the", "his", "her", "that"})
_ENDS = frozenset({"near", "off", "left", "right", "hinds", "fronts", "one"})
_NAILS = frozenset({"nail", "nails", "screw", "wire", "thorn", "staple"})
_SHOES = frozenset({"shoe", "shoes", "plate", "plates", "pair", "set"})


def _pulls_a_nail(said: Matched, lead: set[str]) -> bool:
    """ "Roofing nail in the frog, didn't pull it", "pulled that nail": no shoe comes off."""
    ahead = [w.norm for w in said.words[said.mark.start + 1 : said.mark.end + 3]]
    if _SHOES & {*ahead}:
        return False
    it = {"it", "that", "them"} & {*ahead[:1]}
    return bool(_NAILS & {*ahead}) or bool(it and _NAILS & lead and not _SHOES & lead)


def _down(said: Matched) -> str:
    """Which job "took it down" is, by what was spoken of."""
    lead = said.lead(20)
    if lead & {"bar", "bars"} and not lead & {"heel", "heels", "shoe", "shoes"}:
        return "pare_bar"
    return "clinch" if lead & _CLINCHES else "lower_heel"


_SAW = frozenset({"found", "saw", "find", "see", "felt", "had", "there's", "'s", "is", "with",
                  "showed", "showing", "got", "heard", "says", "said"})  # fmt: skip
_ONLY = frozenset({"but", "except", "only", "bar", "other", "apart"})
_BEFORE_VERB = frozenset({"else", "more", "was", "is", "got", "gets", "being", "to", "be"})


def nothing_done(line: Line, job: Mark) -> bool:
    """ "Reset nothing", "nothing trimmed"; "found nothing, trimmed" and "nothing but" are done."""
    if job.size > 1 or any(m.kind == "foot" and m.end == job.start for m in line.marks):
        return False  # "all four trimmed nothing on any of them"
    if line.norm(job.end) == "nothing":
        return line.norm(job.end + 1) not in _ONLY | {"to"}
    at = job.start - 1
    while line.norm(at) in _BEFORE_VERB:
        at -= 1
    verb, behind = line.norm(job.start), line.norm(job.end)
    done = verb.endswith("ed") or verb in ("reset", "done", "shod", "cut", "glued")
    at_foot = job.end + (behind in ("the", "his", "her", "both"))
    footed = any(m.kind == "foot" and m.start == at_foot for m in line.marks)
    seen = line.norm(at - 1) in _SAW or footed or behind in _ONLY
    return done and line.norm(at) == "nothing" and not seen


def nothing_else_done(line: Line, job: Mark) -> bool:
    """ "Reset nothing else": of which feet is not said, and nothing was done."""
    if line.norm(job.end) == "nothing" and line.norm(job.end + 1) in ("else", "more"):
        return True
    led = {line.norm(job.start - 1), line.norm(job.start - 2)}
    return bool(led & {"else", "more"}) and nothing_done(line, job)


def done_as_asked(line: Line, unit: UnitSaid) -> bool:
    """ "Vet wants egg bars, so that's what he got": what was asked for is done."""
    words = [w.norm for w in line.words[unit.head.end : unit.head.end + 30]]
    for at, word in enumerate(words):
        if word == "that" and words[at + 1 : at + 3] in (["'s", "what"], ["is", "what"]):
            return bool({"got", "did", "done", "has", "gets"} & {*words[at + 3 : at + 6]})
        if word == "so" and words[at + 1 : at + 4] == ["that", "'s", "done"]:
            return True
    return False
