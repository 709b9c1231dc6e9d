"""How deep something goes, and how large a thing just told of is."""

from __future__ import annotations

from fieldlog.language.values.kinds import Value, horn
from fieldlog.language.values.turns import TurnReader
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


class DepthReader(TurnReader):
    """Tells a depth from other sizes."""

    def _sized(self, head: Mark, mark: Mark, measure: str, rule: str) -> Value:
        if head.code in DEEP and measure in ("", "depth"):
            return self._value("depth", mark, "measure:depth")
        return self._size(mark, measure, rule)

    def _probed(self, at: int, mark: Mark) -> bool:
        """ "I can sink the pick half an inch", "five mil of pick": into what was told of last."""
        if not 0 < horn(mark.value) <= 60:
            return False
        near = [*range(mark.start - 7, mark.start), *range(mark.end, mark.end + 4)]
        words = {
            self.line.norm(i)
            for i in near
            if self.sentence_of.get(i) == self.sentence_of[mark.start]
        }
        if not (words & _TOOLS and words & _PUT):
            return False
        heads = [m for m in self.line.marks[:at] if m.kind == "finding"]
        return bool(heads) and heads[-1].code in _HOLLOWS and mark.start - heads[-1].end <= 20

    def _goes_in(self, at: int, mark: Mark) -> bool:
        """ "Probed it and it goes in half an inch": how deep what was found is."""
        back = mark.start - 1
        while self.line.norm(back) in _NEARLY:
            back -= 1
        if self._probed(at, mark):
            return True
        way, verb = self.line.norm(back), self.line.norm(back - 1)
        verb = self.line.norm(back - 2) if verb in ("'s", "is", "was") else verb
        if way not in ("in", "up") or verb not in _GOES:
            return False
        heads = [m for m in self.line.marks[:at] if m.kind in HEADS and m.kind != "work"]
        last = heads[-1] if heads else None
        sized = mark.number.unit is not None or mark.number.form == "fraction"
        return sized and last is not None and last.kind == "finding" and mark.start - last.end <= 20

    def _tells_more(self, at: int, mark: Mark) -> Mark | None:
        """ "Toe crack, left hind. Two inches long now.": a sentence with nothing but the size."""
        others = [m for m in self.line.marks if self.same_sentence(m, mark)]
        back = mark.start - 1
        while self.line.norm(back) in ("about", "a", "around", "over", "only"):
            back -= 1
        if self.line.norm(back) in ("was", "were"):
            return None  # "it was an inch in October"
        if any(m.kind in (*HEADS, "measure", "foot", "work") for m in others):
            return None
        heads = [m for m in self.line.marks[:at] if m.kind in HEADS]
        if not heads or heads[-1].kind != "finding":
            return None
        gap = self.sentence_of.get(mark.start, 0) - self.sentence_of.get(heads[-1].start, 0)
        return heads[-1] if gap == 1 else None
