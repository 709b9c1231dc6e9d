"""Words of a follow-up that ask for nothing: names, talk to the horse, today's own visit."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.lexicon import word_set
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import Line

_NAMERS = frozenset({"they", "we", "people", "everyone", "everybody", "folks", "kids", "i", "lad",
                     "girls", "who", "she'd"})  # fmt: skip
_TO_THE_HORSE = frozenset({"stand", "lift", "pick", "move", "walk", "trot", "back", "hold", "turn",
                           "give", "lean"})  # fmt: skip
_VETS = frozenset({"vet", "vets", "doc", "doctor", "veterinarian", "i", "we", "locum", "dr"})
_DONE = frozenset({"took", "did", "done", "cut", "rasped", "trimmed", "got"})


def no_follow_up(line: Line, head: Mark, code: str, timed: bool) -> bool:
    """Whether the words only sound like a follow-up.

    Args:
        line: the note.
        head: the mark of the follow-up.
        code: what it would be.
        timed: whether a time is said with it.
    """
    before, earlier = line.norm(head.start - 1), line.norm(head.start - 2)
    after, first = line.norm(head.end), line.norm(head.start)
    if code == "call":
        return _names(line, head) or _no_call(line, head, before)
    if code == "tell_owner":
        asked = first in ("ask", "asked") and after in _TO_THE_HORSE
        asked = asked or (line.norm(head.end - 1) == "to" and after in _TO_THE_HORSE)
        calms = first == "talk" and (after in ("while", "when", "all") or _whole(line, head.end))
        return asked or calms
    if code in ("next_trim", "cycle"):
        return _not_ours(line, head)
    if code == "recheck":
        this = earlier in ("is", "'s") and before in ("the", "a", "my", "our")
        today = this and line.norm(head.start - 3) in ("this", "today", "that", "it", "here")
        said = line.text(head) in ("look at that", "look at this") and not timed
        return today or said or (before in ("quick", "a", "the") and after == "here")
    if code == "bring":
        return first == "get" and before in ("can", "can't", "couldn't", "could", "cannot")
    if code == "radiographs":
        return after in ("box", "machine", "man", "plates")
    if code == "staged_correction":
        lead = {line.norm(i) for i in range(head.start - 7, head.start)}
        return first == "in" and bool(lead & _DONE) and not timed
    if code == "vet_visit" and line.norm(head.end - 1) == "called":
        return first not in ("get", "have") and after in ("and", "me", "to") and before == "the"
    return False


def _names(line: Line, head: Mark) -> bool:
    """ "They call him Captain"."""
    named = line.norm(head.start) in ("call", "called") and line.norm(head.end - 1) in (
        "him", "her", "it", "them"
    )  # fmt: skip
    who = line.norm(head.start - 1)
    return named and (who in _NAMERS or (who == "to" and line.norm(head.start - 2) == "used"))


def _no_call(line: Line, head: Mark, before: str) -> bool:
    """ "Sixty for the call", "he let me know it": neither is to ring anybody."""
    if line.norm(head.start) == "let" and before in ("he", "she", "it"):
        return True
    return before == "the" and head.size == 1 and line.norm(head.start) == "call"


def _whole(line: Line, at: int) -> bool:
    return line.norm(at) == "the" and line.norm(at + 1) in ("whole", "entire")


def _not_ours(line: Line, head: Mark) -> bool:
    """ "The feed man's coming Friday", "the foal's due in March"."""
    first = line.norm(head.start)
    lead = [line.norm(i) for i in range(head.start - 8, head.start)]
    if first == "due" and "foal" in lead:
        return True
    if first != "coming" or lead[-1] not in ("'s", "is"):
        return False
    who = lead[-2]
    return who not in ("he", "she", "they", "it", "who") and who not in _VETS


def other_event(line: Line, time: Mark) -> bool:
    """ "The wedding's in three weeks": what is said right before the time has one of its own."""
    if line.norm(time.start - 1) == "at" or _gone_by(line, time):
        return True  # "nine hands at ten weeks"
    led = {line.norm(time.start), line.norm(time.start - 1)}
    if not led & {"in", "on", "for", "within", "is", "'s", "starts", "by"}:
        return False
    small = word_set("glue") | word_set("by_a_time")
    taken = {i for m in line.marks if m is not time and m.tells() for i in m.covers()}
    for at in range(time.start - 1, max(-1, time.start - 4), -1):
        if line.words[at].sort != "word" or at in taken:
            return False
        if line.norm(at) not in small:
            return True
    return False


def _gone_by(line: Line, time: Mark) -> bool:
    """ "Ten days on with her", "it's nine weeks, what do they expect": since the last visit."""
    period, before, after = time.value.due.period, line.norm(time.start - 1), line.norm(time.end)
    if line.norm(time.start) == "within" or after in ("growth", "old", "late", "overdue"):
        return True
    if before in ("starting", "from"):
        return True
    if not period or line.norm(time.start) in ("in", "back", "again"):
        return False
    if after == "into" or (after == "in" and line.norm(time.end + 1) in ("and", "with", "to", "")):
        return True
    if after == "on" and line.norm(time.end - 1) != "now":
        return line.break_at(time.end + 1) or line.norm(time.end + 1) in ("with", "from", "and")
    subject = line.norm(time.start - 2) in ("he", "she", "it", "they", "that")
    grumbles = line.norm(time.end + line.break_at(time.end)) in ("they", "what", "nobody", "no")
    gone = before == "gone" or (before in ("'s", "is") and subject and grumbles)
    return gone or (after in ("now", "out") and line.break_at(time.end + 1)) or (
        after == "out" and line.norm(time.end + 1) in ("of", "from")
    )  # fmt: skip


def vet_at_once(line: Line, head: Mark) -> bool:
    """ "Vet's on her way", "I rang the vet myself": already coming."""
    if head.code != "vet_visit":
        return False
    said = {line.norm(i) for i in head.covers()}
    rang = bool(said & {"rang", "called", "phoned"}) and "myself" in said | {line.norm(head.end)}
    return rang or _on_the_way(line, head)


def _on_the_way(line: Line, head: Mark) -> bool:
    """ "Vet's been rung and he's on his road"."""
    ahead: list[str] = []
    for at in range(head.start, min(head.end + _SOON, len(line.words))):
        if line.words[at].sort == "stop":
            break
        ahead.append(line.norm(at))
    return any(
        ahead[i] == "on" and ahead[i + 1] in ("his", "her", "their") and last in _ROADS
        for i, last in enumerate(ahead[2:])
    )


_SOON = 7
_ROADS = frozenset({"way", "road"})


def rest_left(line: Line, time: Mark) -> bool:
    """ "Fronts trimmed, the other two on Friday", "the rest tomorrow": what is left of the job."""
    at = time.start - (line.norm(time.start - 1) in ("on", "for"))
    first, second = line.norm(at - 1), line.norm(at - 2)
    left = first in ("two", "three", "side", "one", "pair") and second == "other"
    return left or (first in ("rest", "others") and second in ("the", ""))


def _no_more(line: Line, mark: Mark) -> bool:
    """ "Five weeks, not a day more": nothing is left to go."""
    return "not" in {line.norm(i) for i in range(mark.start - 3, mark.start)}


def is_longer(line: Line, time: Mark) -> bool:
    """ "Needs another week", "give it two more weeks": as long again as it has had."""
    words = {line.norm(i) for i in time.covers()}
    return bool(words & {"another", "more"})


_NEEDS = frozenset({"needs", "need", "wants", "give", "that", "foot", "shoes", "these", "those",
                    "good", "go", "will", "'ll", "can", "could", "for", "it"})  # fmt: skip


def talks(line: Line, marks: Sequence[Mark], begin: int, end: int) -> bool:
    """ "Snow by Friday, they are saying": more than a time and small words is no appointment."""
    first = next(m for m in marks if m.kind == "time")
    left = [m for m in marks if m.code == "left_to_go"]
    if any(not _no_more(line, m) for m in left) or _gone_by(line, first):
        return True
    if any(line.norm(i) == "if" for i in range(begin, first.start)):
        return True  # "and if he's not right by Saturday, what then?"
    named = begin == 0 and first.start > 1 and first.value.due.period is not None
    if named and end < len(line.words) - 1 and line.break_at(first.start - 1):
        return True  # "Gwen's foal, three months. Upright on the near fore."
    if first.value.due.period and first.start - begin <= 1:
        return False
    known = {i for m in marks for i in m.covers()}
    small = word_set("glue") | word_set("by_a_time")
    if is_longer(line, first):
        small = small | _NEEDS
    words = [i for i in range(begin, end) if line.words[i].sort == "word" and i not in known]
    begin = max([begin, *(i for i in range(begin, first.start) if line.break_at(i))])
    end = next((i for i in range(first.end, end) if line.break_at(i)), end)
    return any(line.norm(i) not in small for i in words if begin <= i < end)
