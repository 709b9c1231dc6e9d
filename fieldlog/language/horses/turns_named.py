"""A horse named or described: its part begins, or it is more of the one before."""

from __future__ import annotations

from collections.abc import Set
from dataclasses import replace

from fieldlog.language.horses.mentioned import Said, clause_start, closing_start, how_said
from fieldlog.language.horses.naming import Opening, herd_words
from fieldlog.language.horses.parting import Parting, Turn
from fieldlog.language.horses.put_right import cue_before, is_on, word_before

_WORDS = herd_words("turns")


def named(parting: Parting, opening: Opening) -> None:
    """A horse is named or described: its part begins, or it joins those named right before."""
    last = parting.now
    if _renames(parting, opening) or _names(parting, opening):
        return
    begin = opening.start if opening.begins is None else opening.begins
    horse = parting.herd.place_of(opening)
    if not opening.name:
        opening = _as_known(opening, parting.herd.beasts[horse].opening)
    if last.said and last.who and _only_joined(parting, last.said[1], opening.start):
        if horse not in last.horses:
            who, horses = (*last.who, opening), (*last.horses, horse)
            said = last.said[0], opening.end
            parting.out[-1] = replace(last, who=who, horses=horses, said=said)
        return
    parting.worked(begin)
    parting.out.append(Turn(begin, (opening,), (horse,), (opening.start, opening.end)))


def _as_known(opening: Opening, known: Opening) -> Opening:
    """A description with the name of the horse that it is of."""
    details = {**known.details, **opening.details}
    return replace(opening, name=known.name, known=known.known, details=details)


def _names(parting: Parting, opening: Opening) -> bool:
    """ "The mule, call him Gus", "box one, Quiet Thunder": the name of the horse described."""
    last = parting.now
    if not opening.name or len(last.who) != 1 or last.who[0].name or last.said is None:
        return False
    linked = _linked(parting, last.said[1], opening.start)
    if not linked or parting.herd.named(opening.name) is not None:
        return False
    beast = parting.herd.beasts[last.horses[0]]
    told = replace(opening, details={**last.who[0].details, **opening.details})
    beast.opening, beast.looks = told, beast.looks | opening.looks
    parting.out[-1] = replace(last, who=(told,), said=(last.said[0], opening.end))
    return True


def _linked(parting: Parting, end: int, start: int) -> bool:
    """Whether only words like "call him" and commas stand between two tellings of a horse."""
    between = parting.words[end:start]
    return all(w.norm in _WORDS["called"] or w.sort == "comma" for w in between)


def _only_joined(parting: Parting, end: int, start: int) -> bool:
    """Whether only "and" and commas stand between two names."""
    between = parting.words[end:start]
    if not between:
        return True
    return (
        len(between) <= 2
        and any(w.norm in ("and", ",") for w in between)
        and all(w.norm == "and" or w.sort == "comma" for w in between)
    )


def _renames(parting: Parting, opening: Opening) -> bool:
    """ "No, that's Bella I'm on": the part so far is of another horse than was said."""
    cue = cue_before(parting.words, opening.start)
    if cue is None or not opening.name or not parting.out or not parting.now.who:
        return False
    behind = [w.norm for w in parting.words[opening.end : opening.end + 1]]
    if behind == ["'s"] and not is_on(parting.words, opening.end):
        _clause_is_of(parting, opening, cue)
    else:
        _part_is_of(parting, opening, cue)
    return True


def _clause_is_of(parting: Parting, opening: Opening, cue: int) -> None:
    """ "A rub on the left hind, no, that's Gethin's": what was just told is another horse's."""
    begin = clause_start(parting.words, word_before(parting.words, cue))
    begin = max(begin, parting.now.begin)
    horse = parting.herd.place_of(opening)
    parting.out.append(Turn(begin, (opening,), (horse,), (cue, opening.end)))


def _part_is_of(parting: Parting, opening: Opening, cue: int) -> None:
    """The last part is another horse's; one that is named nowhere else was a slip of the tongue."""
    last = parting.now
    renamed = replace(opening, start=cue, replaced=last.said)
    horse = parting.herd.place_of(opening)
    parting.out[-1] = replace(last, who=(renamed,), horses=(horse,))
    for wrong in last.horses:
        if not any(wrong in turn.horses for turn in parting.out):
            beast = parting.herd.beasts[wrong]
            beast.opening, beast.looks = replace(beast.opening, name="", details={}), set()


def described(parting: Parting, opening: Opening, strong: bool) -> None:
    """A horse is described: another one, or the one that is spoken of."""
    beasts = parting.herd.beasts
    looks = opening.looks
    after_comma = opening.start > 0 and parting.words[opening.start - 1].sort == "comma"
    owned = strong and any(
        w.norm == "'s" for w in parting.words[opening.start : opening.end]
    )  # "the mare, the mare's daughter"
    if (not owned and _same_described(parting, opening)) or (after_comma and not strong):
        return
    if not parting.out or not parting.now.horses:
        named(parting, opening)
        return
    current = [beasts[horse] for horse in parting.now.horses]
    alike = [looks <= beast.looks for beast in current]
    if any(alike):
        if len(current) > 1 and alike.count(True) == 1:
            named(parting, opening)
        return
    joined = parting.now.said and [
        w.norm for w in parting.words[parting.now.said[1] : opening.start]
    ] == ["and"]
    known = joined or any(looks <= beast.looks for beast in beasts)
    conflict = all(_differs(opening, beast.opening) for beast in current)
    if known or strong or conflict:
        named(parting, opening)


def closed(parting: Parting, opening: Opening, telling: Set[int]) -> None:
    """What stands before the looks of a horse told of before is that horse's."""
    known = any(opening.looks <= beast.looks for beast in parting.herd.beasts)
    if not known or parting.herd.place_of(opening) in parting.now.horses:
        return
    said = parting.now.said
    if said is not None and _only_joined(parting, said[1], opening.start):
        named(parting, opening)
    elif how_said(parting.words, (opening.start, opening.end, ""), (), telling) is Said.CLOSES:
        begin = closing_start(parting.words, opening.start, parting.marks)
        named(parting, replace(opening, begins=begin))


def _same_described(parting: Parting, opening: Opening) -> bool:
    """ "Box three, the filly": more of what the horse described right before looks like."""
    last = parting.now
    if len(last.who) != 1 or last.said is None or _differs(opening, last.who[0]):
        return False
    if last.said[1] >= opening.start or not _linked(parting, last.said[1], opening.start):
        return False
    beast = parting.herd.beasts[last.horses[0]]
    beast.looks |= opening.looks
    details = {**opening.details, **beast.opening.details}
    beast.opening = replace(beast.opening, details=details)
    told = replace(last.who[0], details={**opening.details, **last.who[0].details})
    parting.out[-1] = replace(last, who=(told,), said=(last.said[0], opening.end))
    return True


def _differs(one: Opening, other: Opening) -> bool:
    """Whether two descriptions cannot be of one horse."""
    return any(
        key in other.details and other.details[key] != value for key, value in one.details.items()
    )
