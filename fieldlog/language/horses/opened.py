"""Where a horse's part of a note begins."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace

from fieldlog.language.horses.closed import behind_the_end
from fieldlog.language.horses.described import descriptions, looks_behind
from fieldlog.language.horses.introduced import introduced
from fieldlog.language.horses.listed import (
    TELLS_OF_ONE,
    announced,
    by_their_looks,
    comes_in_turn,
    in_a_row,
    in_turn,
)
from fieldlog.language.horses.mentioned import (
    Said,
    appended,
    behind_looks,
    closing_start,
    how_said,
    lead_start,
    leads_only,
    of_another,
    owner_said,
)
from fieldlog.language.horses.naming import TYPES, NameAt, Opening
from fieldlog.language.horses.same_words import same_before
from fieldlog.language.horses.unlisted import unlisted_names
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.tokens import Token


def openings(
    words: Sequence[Token],
    marks: Sequence[Mark],
    names: Sequence[NameAt],
    text: str,
) -> list[Opening]:
    """The places where a new horse begins, in order."""
    meaningful = _meaningful(marks)
    told = {m.start for m in marks if m.kind in TELLS_OF_ONE}
    listed = {at for begin, end, _ in names for at in range(begin, end)}
    strangers = unlisted_names(words, told, text, listed)
    several = _several([*names, *strangers], words, told)
    out = _introduced(words, marks, names, text, meaningful)
    out += _named(words, marks, names, several, _begun(out))
    turns = [o for o in in_turn(words, text, meaningful, listed) if o.start not in _begun(out)]
    if len(out) + len(turns) > 1:  # one horse comes in no turn
        out += turns
    out += in_a_row(words, marks, text, _begun(out) | meaningful | listed)
    begun = _begun(out) | listed
    out += [o for o in announced(words, text, meaningful) if o.start not in begun]
    if several:
        named = _named(words, marks, [*names, *strangers], several, _begun(out) | listed)
        out += [replace(opening, known=False) for opening in named]
    begun = _begun(out)
    out += [o for o in by_their_looks(words, marks) if o.start not in begun]
    out += behind_the_end(words, marks, text, [o.start for o in out])
    return sorted(out, key=lambda o: o.start)


def _meaningful(marks: Sequence[Mark]) -> set[int]:
    """The words that tell something, and so begin no name."""
    return {
        at
        for m in marks
        for at in m.covers()
        if m.kind not in ("role", "correction")
        or m.code in ("mild", "moderate", "severe", "negation", "work_negation", "nails")
    }


def introductions(
    words: Sequence[Token], marks: Sequence[Mark], names: Sequence[NameAt], text: str
) -> list[Opening]:
    """The horses that words like "next horse is" introduce, in order."""
    return _introduced(words, marks, names, text, _meaningful(marks))


def _introduced(
    words: Sequence[Token],
    marks: Sequence[Mark],
    names: Sequence[NameAt],
    text: str,
    meaningful: set[int],
) -> list[Opening]:
    """``introductions``; ``meaningful`` words begin no name."""
    out: list[Opening] = []
    for mark in marks:
        opens = mark.kind == "correction" and mark.code == "new_horse"
        opens = opens and not (_a_visit(words, mark) or _a_breed(words, mark))
        if opens and not (out and mark.start < out[-1].end):
            found = introduced(words, mark, names, text, meaningful)
            out += [found] if found is not None else []
    return out


def _several(named: Sequence[NameAt], words: Sequence[Token], told: Set[int]) -> bool:
    """Whether a note names several horses, or one twice and another by "then the bay gelding"."""
    if len({name.lower() for _, _, name in named}) > 1:
        return True
    return len(named) > 1 and any(strong for _, strong in descriptions(words, told))


def _begun(openings: Sequence[Opening]) -> set[int]:
    """The words of some openings."""
    return {at for o in openings for at in range(o.start, o.end)}


def _named(
    words: Sequence[Token],
    marks: Sequence[Mark],
    names: Sequence[NameAt],
    several: bool,
    taken: Set[int],
) -> list[Opening]:
    """The names that begin a horse's part, but those in words that are taken already.

    Args:
        words: those of the note.
        marks: what patterns found in them.
        names: where names of horses stand.
        several: whether several horses are named in the note.
        taken: words of other openings.
    """
    out: list[Opening] = []
    telling = {at for m in marks if m.kind in TELLS_OF_ONE for at in m.covers()}
    for begin, end, name in names:
        if begin in taken:
            continue
        opens = _opens(words, begin) or comes_in_turn(words, end) or behind_looks(words, begin)
        opens = opens and not of_another(words, end)
        begins = None
        if several:
            said = how_said(words, (begin, end, name), names, telling)
            opens = said is not Said.TALK or comes_in_turn(words, end)
            opens = opens or (owner_said(words, end) and name in {o.name for o in out})
            same = same_before(words, begin)
            if same is not None:
                opens, begins = True, same
            elif said is Said.CLOSES or appended(words, begin, telling):
                begins = closing_start(words, begin, marks)
            elif leads_only(words, begin):
                begins = lead_start(words, begin)
        if opens or _between_jobs(marks, begin, end):
            looks = looks_behind(words, end)
            out.append(Opening(begin, end, name, {}, True, begins=begins, looks=looks))
    return out


def _a_visit(words: Sequence[Token], mark: Mark) -> bool:
    """ "The same again at the next one": a visit, and no horse."""
    lead = [w.norm for w in words[max(0, mark.start - 2) : mark.start]]
    return (
        words[mark.start].norm == "next"
        and lead[-1:] == ["the"]
        and lead[0] in ("at", "for", "till", "until", "by")
    )


def _a_breed(words: Sequence[Token], mark: Mark) -> bool:
    """ "Duke, | quarter horse gelding": what he is, and no other horse; "The shire horse, trim"."""
    at = mark.start - 1
    if words[mark.start].norm != "horse" or at < 0 or words[at].norm not in TYPES:
        return False
    return not (words[at - 1].norm == "the" and (at < 2 or words[at - 2].sort == "stop"))


def _opens(words: Sequence[Token], begin: int) -> bool:
    """A known name opens a part at the start of the note or of a clause, not inside one."""
    before = words[begin - 1] if begin else None
    if before is None or before.sort in ("stop", "pause"):
        return True
    return before.norm in (
        "onto",
        "okay",
        "ok",
        "alright",
        "so",
        "then",
        "now",
        "and",
        "that's",
        "done",
    )


def _between_jobs(marks: Sequence[Mark], begin: int, end: int) -> bool:
    """ "smudge trim dot trim": a known name with what was done to the last horse right before it
    and what is done to this one right behind."""
    told = [m for m in marks if m.kind in TELLS_OF_ONE]
    return any(m.end == begin for m in told) and any(
        m.start == end and m.kind in ("work", "foot") for m in told
    )
