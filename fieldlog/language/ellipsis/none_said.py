"""No fault on one more foot: "none in the right", "clean on the near fore", "off fore nothing"."""

from __future__ import annotations

from fieldlog.language.ellipsis.beside_foot import right_of
from fieldlog.language.ellipsis.sentence import Sentence
from fieldlog.language.lexicon import find_item
from fieldlog.language.words.marks import Mark, in_order
from fieldlog.language.words.units_said import COPULAS, HEADS

_SOUND_WORDS = frozenset({"clean", "clear", "fine", "good", "normal", "grand", "tidy", "lovely",
                          "perfect", "healthy", "nice", "excellent"})  # fmt: skip
_NONE = frozenset({"none", "nothing", "nil", "not"})


def good_beside(said: Sentence, foot: Mark) -> None:
    """ "Clean on the right", "off fore nothing": no fault seen on that foot."""
    at = said.lead(foot)
    heads = [m for m in said.marks if m.kind in HEADS and m.end <= at]
    if _lands_beside(said, foot, at, heads) or _good_before(said, foot, at):
        return
    no = foot.end + said.line.break_at(foot.end)
    if said.line.norm(no) in ("no", "nope") and no + 1 == said.end and not heads:
        said.make(Mark("change", "denied", no, no + 1), foot)  # "Right, no."
    elif (at := _nothing_behind(said, foot)) >= 0:
        _nothing_on(said, foot, at)


def _lands_beside(said: Sentence, foot: Mark, at: int, heads: list[Mark]) -> bool:
    """ "Lands toe first on the left, flat on the right"."""
    lands = bool(heads) and heads[-1].code.startswith("lands")
    flat = lands and said.line.norm(at) in ("flat", "level") and said.placed(foot, at + 1)
    if flat:
        item = find_item("lands_flat", "finding")
        said.make(Mark("finding", "lands_flat", at, at + 1, item), foot)
    return flat


def _good_before(said: Sentence, foot: Mark, at: int) -> bool:
    """ "Clean on the right"; not "not so clean on the right"."""
    before = next((m for m in said.marks if m.end == at + 1), None)
    if before is None or before.kind != "role" or before.code != "good_word":
        return False
    good = (
        said.placed(foot, at + 1)
        and said.line.norm(before.end - 1) in _SOUND_WORDS
        and said.line.norm(before.start - 1) not in ("not", "isn't", "aren't", "no", "any")
    )
    if good:
        before.kind, before.code = "finding", "normal"
        before.item = find_item("normal", "finding")
        foot.tags.add("looks_back")
    return good


def _nothing_behind(said: Sentence, foot: Mark) -> int:
    """Where "off fore nothing", "right has none", "left, nothing." says so; -1 if nowhere."""
    at = foot.end
    while said.line.norm(at) in ("has", "had", "'s", "got"):
        at += 1
    comma = at == foot.end and foot.start == said.begin and (
        said.line.norm(at) == "," and said.line.norm(at + 1) in ("nothing", "none")
    )  # fmt: skip
    at += bool(comma and (at + 2 >= said.end or said.line.break_at(at + 2)))
    word = said.line.norm(at)
    if word not in ("nothing", "none") or (word == "nothing" and at > foot.end and not comma):
        return -1
    return at


def _nothing_on(said: Sentence, foot: Mark, at: int) -> None:
    """Make the denial that stands at ``at`` behind a foot, if it closes what is said of it."""
    beyond = at + 1
    near = next((m for m in said.marks if m.start >= beyond), None)
    if _listed_before(said, foot, at, near):
        said.none_first = said.behind = True
        foot.tags.add("looks_back")
        return
    closes = said.line.break_at(beyond) or beyond >= said.end or at > foot.end
    if not closes and (near is None or near.kind != "foot" or near.start != beyond):
        return
    if said.line.norm(at) == "nothing":
        item = find_item("normal", "finding")
        said.make(Mark("finding", "normal", foot.end, beyond, item), foot)
    elif any(m.kind == "finding" and m.end == foot.start for m in said.marks):
        _denied_where_named(said, foot, at)
    else:
        said.make(Mark("change", "denied", at, beyond), foot)


def _denied_where_named(said: Sentence, foot: Mark, at: int) -> None:
    """ "Thrush left front none right front a bit": denied where it is named first."""
    none = Mark("role", "negation_after", at, at + 1)
    kept = [m for m in said.line.marks if not m.holds(at)]
    said.line.marks = in_order([*kept, none])
    said.put(said.line.marks)
    foot.tags.add("looks_back")


def none_before(said: Sentence, foot: Mark) -> tuple[int, int] | None:
    """The words of "none in the right", "but not the right"."""
    at = said.lead(foot)
    if said.line.norm(at) == "nor":
        return at, at + 1
    back = at
    while said.line.norm(back) in ("to", "speak", "of", "at", "all", "much", "there", "really"):
        back -= 1
    if said.line.norm(back) in ("nothing", "none") and said.placed(foot, at + 1):
        at = back
    word = said.line.norm(at)
    if word not in _NONE:
        return None
    if word in ("none", "nil") and any(m.kind == "finding" and m.end == at for m in said.marks):
        return None  # "corn none in the left front": of the corn just named
    placed, before = said.placed(foot, at + 1), said.line.norm(at - 1)
    alone = before not in COPULAS and _closes(said, foot)  # "..., not the right."
    if word == "not" and not placed and not alone and before != "but":
        return None
    told = [m for m in said.marks if m.end <= at and m.tells()]
    first = word == "none" and bool(told) and (told[-1].kind == "finding" or said.none_first)
    said.none_first = said.none_first or first
    if word != "not" and not placed and not first:
        return None
    hit = [m for m in said.marks if m.holds(at)]
    if any(m.code != "normal" and (m.kind != "role" or m.code == "pseudo_negation")
           for m in hit):  # fmt: skip
        return None
    return at, at + 1


def _closes(said: Sentence, foot: Mark) -> bool:
    """Whether nothing follows a foot in its clause."""
    ends = foot.end >= said.end or said.line.break_at(foot.end)
    return ends or said.line.norm(foot.end) in ("and", "but", "so", "though", "yet")


def _listed_before(said: Sentence, foot: Mark, at: int, near: Mark | None) -> bool:
    """ "(No heat | heat none) left front, none right front": each denial before its foot."""
    if near is None or near.kind != "foot" or near.start != at + 1 or at != foot.end:
        return False
    back = foot.start - 1
    denied = said.line.norm(back) in ("none", "nil")
    back -= denied
    head = next((m for m in said.marks if m.kind == "finding" and m.end == back + 1), None)
    if head is None:
        return said.none_first and denied
    none = denied or said.line.norm(head.start - 1) == "no"
    return denied or (none and right_of(said, near) is None)


def deny(said: Sentence, words: tuple[int, int], foot: Mark) -> None:
    said.make(Mark("change", "denied", *words), foot)
