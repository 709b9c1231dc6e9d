"""Words of a job that tell of no job: other boots, the horse's own doing, counts of jobs, goods."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.marks import Mark
from fieldlog.language.tokens import Token
from fieldlog.language.units_said import Line, UnitSaid

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


def no_work(words: Sequence[Token], mark: Mark) -> bool:
    """Whether the words of a job tell of none here."""
    first, last = words[mark.start].norm, words[mark.end - 1].norm
    before = words[mark.start - 1].norm if mark.start else ""
    led = words[mark.start - 2].norm if mark.start > 1 else ""
    after = words[mark.end].norm if mark.end < len(words) else ""
    lead = {w.norm for w in words[max(0, mark.start - 14) : mark.start]}
    if mark.code == "pare_bar" and last == "bar":
        return after in _THE or after in _ENDS  # "all trimmed bar the off fore"
    if mark.code == "leave_alone" and first == "left" and mark.size > 2:
        # "thrush left hind not as bad | as it was"
        return words[mark.start + 1].norm in _OF_A_SIDE and before not in ("i", "and", "we")
    if mark.code == "trim_not" and last == "nothing":
        return after in _ONLY  # "trimmed nothing but the fronts"
    if mark.code == "packing":
        return after in _MUCK or (after == "with" and words[mark.end + 1 :][:1] != []
                                  and words[mark.end + 1].norm in _MUCK)  # fmt: skip
    if mark.code == "trim" and first == last == "trim" and mark.size == 1:
        return before in _ORDER or after in ("cycle", "two", "three", "four", "number")
    if mark.code == "boot":
        if {"bring", "lost", "knee"} & {w.norm for w in words[max(0, mark.start - 5) : mark.start]}:
            return True
        return before in _OTHER_BOOTS or (before == "her" and led == "on")
    if mark.code == "trim" and first == "trims":
        return before in _COUNTED
    if mark.code == "shoe" and first == last == "shoeing":
        return before in _VISITS
    if mark.code == "shoe" and first in ("replaced", "replace", "replacing"):
        return bool(lead & {"nail", "nails", "pad", "pads"}) and not lead & {"shoe", "shoes"}
    if mark.code == "shoe" and before == "of":
        return led in ("box", "boxes", "bag", "bags", "pair", "pairs") and first not in ("new",)
    if mark.code in ("dress_flare", "pull") and last == "off" and mark.size == 3:
        flare, iron = bool(lead & _FLARE), bool(lead & _IRON)
        if words[mark.start + 1].norm not in ("it", "them", "that"):
            return False
        return not flare if mark.code == "dress_flare" else flare and not iron
    if mark.code == "pull":
        behind = {w.norm for w in words[mark.end : mark.end + 3]}
        it = {"it", "that", "them"} & ({after} | {w.norm for w in words[mark.start : mark.end]})
        stuck = bool(behind & _NOT_IRON) or bool(it and last != "off" and lead & _STUCK)
        stuck = stuck and not lead & {"shoe", "shoes"}
        return after in ("through", "in", "up") or stuck or _pulls_a_nail(words, mark, lead)
    dressed = mark.code == "trim" and first in ("rasped", "tidied") and lead & _CHIPPED
    if dressed and {after, last} & {"it", "that"}:
        return True
    if mark.code == "trim" and first in ("rasped", "rasping", "rasp"):
        behind = {w.norm for w in words[mark.end - 1 : mark.end + 4]}
        return bool(behind & _EDGES) or bool(lead & _CLINCHES)
    if mark.code in ("lower_heel", "pare_bar", "clinch") and last in ("down", "back", "off"):
        if mark.size > 2 and words[mark.start + 1].norm in ("it", "them", "that", "those"):
            return {before, first, led} & _PUTS != set() or mark.code != _down(words, mark)
        return mark.code == "lower_heel" and {before, first, led} & _PUTS != set()
    if mark.code == "open_track" and first == "popped":
        lead = {w.norm for w in words[max(0, mark.start - 24) : mark.start]}
        return bool(lead & {"stone", "stones", "rock", "pebble", "gravel", "shoe", "flint"})
    if mark.code == "roll_toe" and first in ("rounded", "round"):
        return after == "to" or (mark.size > 1 and words[mark.start + 1].norm == "it" and after in
                                 ("to", "up"))  # fmt: skip
    if mark.code == "poultice":
        return after in ("off",) or (after in ("stays", "comes", "came") and _off(words, mark))
    if mark.code == "clean_out" and first == "picked":
        return after == "for"
    if mark.code == "studs":
        return first == "tapped" and after == "the"
    return False


_OF_A_SIDE = frozenset({"hind", "front", "fore", "rear", "foot", "one"})
_THE = frozenset({"the", "his", "her", "that"})
_ENDS = frozenset({"near", "off", "left", "right", "hinds", "fronts", "one"})
_NAILS = frozenset({"nail", "nails", "screw", "wire", "thorn", "staple"})
_SHOES = frozenset({"shoe", "shoes", "plate", "plates", "pair", "set"})


def _pulls_a_nail(words: Sequence[Token], mark: Mark, lead: set[str]) -> bool:
    """ "Roofing nail in the frog, didn't pull it", "pulled that nail": no shoe comes off."""
    ahead = [w.norm for w in words[mark.start + 1 : mark.end + 3]]
    if _SHOES & {*ahead}:
        return False
    it = {"it", "that", "them"} & {*ahead[:1]}
    return bool(_NAILS & {*ahead}) or bool(it and _NAILS & lead and not _SHOES & lead)


def _down(words: Sequence[Token], mark: Mark) -> str:
    """Which job "took it down" is, by what was spoken of."""
    lead = {w.norm for w in words[max(0, mark.start - 20) : mark.start]}
    if lead & {"bar", "bars"} and not lead & {"heel", "heels", "shoe", "shoes"}:
        return "pare_bar"
    return "clinch" if lead & {"clinch", "clinches", "clench", "clenches"} else "lower_heel"


def _off(words: Sequence[Token], mark: Mark) -> bool:
    return mark.end + 1 < len(words) and words[mark.end + 1].norm == "off"


_SAW = frozenset({"found", "saw", "find", "see", "felt", "had", "there's", "'s", "is", "with",
                  "showed", "showing", "got", "heard", "says", "said"})  # fmt: skip
_ONLY = frozenset({"but", "except", "only", "bar", "other", "apart"})
_BEFORE_VERB = frozenset({"else", "more", "was", "is", "got", "gets", "being", "to", "be"})


def nothing_done(line: Line, job: Mark) -> bool:
    """ "Reset nothing", "nothing trimmed"; "found nothing, trimmed" and "nothing but" are done."""
    if job.size > 1 or any(m.kind == "foot" and m.end == job.start for m in line.marks):
        return False  # "all four trimmed nothing on any of them"
    if line.norm(job.end) == "nothing":
        return line.norm(job.end + 1) not in _ONLY
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
