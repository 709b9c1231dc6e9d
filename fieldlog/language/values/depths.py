"""How deep something goes, and how large a thing just told of is."""

from __future__ import annotations

from fieldlog.language.values.around import Around
from fieldlog.language.values.kinds import Value, horn
from fieldlog.language.values.making import size_of, value_of
from fieldlog.language.words.marks import Mark
from fieldlog.language.words.units_said import HEADS

_GOES = frozenset({"goes", "went", "runs", "ran", "going", "tracks", "pick", "probe", "knife"})
_NEARLY = frozenset({"a", "about", "good", "near", "maybe", "there", "it", "full", "nearly"})
_TOOLS = frozenset({"pick", "probe", "knife", "blade", "matchstick", "wire", "loop"})
_PUT = frozenset({"get", "got", "sink", "sank", "put", "fit", "lose", "lost", "hide", "slide",
                  "slid", "goes", "went", "go", "of", "stick", "stuck", "poke", "pokes", "push",
                  "drop", "take", "takes"})  # fmt: skip
_HOLLOWS = frozenset({"deep_sulcus", "thrush", "seedy_toe", "hollow", "white_line_disease",
                      "white_line_separation", "wall_separation", "abscess_track", "discharge",
                      "soft_spot", "penetrating_object"})  # fmt: skip
DEEP = frozenset({"deep_sulcus", "thrush", "seedy_toe", "hollow"})
"""What has no other size than its depth, unless "wide" or "long" is said."""


def sized_by(note: Around, head: Mark, mark: Mark, measure: str, rule: str) -> Value:
    if head.code in DEEP and measure in ("", "depth"):
        return value_of(note, "depth", mark, "measure:depth")
    return size_of(mark, measure, rule)


def _probed(note: Around, at: int, mark: Mark) -> bool:
    """ "I can sink the pick half an inch", "five mil of pick": into what was told of last."""
    if not 0 < horn(mark.value) <= 60:
        return False
    near = [*range(mark.start - 7, mark.start), *range(mark.end, mark.end + 4)]
    words = {
        note.line.norm(i) for i in near if note.sentence_of.get(i) == note.sentence_of[mark.start]
    }
    if not (words & _TOOLS and words & _PUT):
        return False
    heads = [m for m in note.line.marks[:at] if m.kind == "finding"]
    return bool(heads) and heads[-1].code in _HOLLOWS and mark.start - heads[-1].end <= 20


def goes_in(note: Around, at: int, mark: Mark) -> bool:
    """ "Probed it and it goes in half an inch": how deep what was found is."""
    back = mark.start - 1
    while note.line.norm(back) in _NEARLY:
        back -= 1
    if _probed(note, at, mark):
        return True
    way, verb = note.line.norm(back), note.line.norm(back - 1)
    verb = note.line.norm(back - 2) if verb in ("'s", "is", "was") else verb
    if way not in ("in", "up") or verb not in _GOES:
        return False
    heads = [m for m in note.line.marks[:at] if m.kind in HEADS and m.kind != "work"]
    last = heads[-1] if heads else None
    sized = mark.number.unit is not None or mark.number.form == "fraction"
    return sized and last is not None and last.kind == "finding" and mark.start - last.end <= 20


def tells_more(note: Around, at: int, mark: Mark) -> Mark | None:
    """ "Toe crack, left hind. Two inches long now.": a sentence with nothing but the size."""
    others = [m for m in note.line.marks if note.same_sentence(m, mark)]
    back = mark.start - 1
    while note.line.norm(back) in ("about", "a", "around", "over", "only"):
        back -= 1
    if note.line.norm(back) in ("was", "were"):
        return None  # "it was an inch in October"
    if any(m.kind in (*HEADS, "measure", "foot", "work") for m in others):
        return None
    heads = [m for m in note.line.marks[:at] if m.kind in HEADS]
    if not heads or heads[-1].kind != "finding":
        return None
    gap = note.sentence_of.get(mark.start, 0) - note.sentence_of.get(heads[-1].start, 0)
    return heads[-1] if gap == 1 else None
