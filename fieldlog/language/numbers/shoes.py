"""Shoe sizes and nails as they are written."""

from __future__ import annotations

from collections.abc import Sequence

from fieldlog.language.numbers.spoken import find_numbers
from fieldlog.language.words.marks import ALL_FOUR, Mark
from fieldlog.language.words.units_said import Line


def shoe_size(mark: Mark) -> str:
    """A shoe size as text: double aught is ``00``."""
    span = mark.number
    spoken = (span.spoken or "").lower()
    if span.form == "shoe_size" and spoken.isdigit():
        return spoken
    for word, text in (("quadruple", "0000"), ("triple", "000"), ("double", "00")):
        if word in spoken:
            return text
    if any(w in spoken for w in ("aught", "ought", "naught", "zero")):
        return "0"
    value = span.value
    return str(int(value)) if float(value).is_integer() else f"{value:g}"


def nail_code(words: str) -> str:
    """A nail as text: ``five city`` is ``city 5``, ``e four slims`` is ``E 4 slim``."""
    found = find_numbers(words)
    size = f"{found[0].value:g}" if found else ""
    spoken = {w for n in found for w in words[n.start : n.end].split()}
    rest = [
        w for w in words.split() if w not in spoken and w not in ("nail", "nails", "head", "heads")
    ]
    kind = " ".join(w.removesuffix("s") if w in ("slims", "combos") else w for w in rest)
    if kind.startswith("e"):
        return f"E {size} {kind[1:].strip()}".strip()
    return f"{kind} {size}".strip()


def shoe_slots(line: Line, marks: Sequence[Mark]) -> dict[str, str]:
    """Size, nails, clips and material that stand in a unit."""
    out: dict[str, str] = {}
    for mark in marks:
        if mark.kind == "shoe_size":
            out["size"] = shoe_size(mark)
        elif mark.kind == "nail":
            key, _, text = mark.code.partition(":")
            out[key] = text
        elif mark.kind == "role" and mark.code == "nail_code":
            words = line.text(mark)
            number = find_numbers(words)
            if words.endswith("nails") and number and number[0].start == 0:
                out["nail_count"] = f"{number[0].value:g}"
                out["nails"] = nail_code(words[number[0].end :])
            else:
                out["nails"] = nail_code(words)
        elif mark.kind == "role" and mark.code == "material":
            out["material"] = line.text(mark)
    return out


def sizes_apart(line: Line, marks: Sequence[Mark]) -> str:
    """ "Size three in front, two behind" all round: ``3 in front, 2 behind``; else empty."""
    feet = {m.start: m for m in marks if m.kind == "foot"}
    sizes = [m for m in marks if m.kind in ("shoe_size", "count") and m.end in feet]
    if not any(m.kind == "shoe_size" for m in sizes):
        return ""
    told = [(shoe_size(m), feet[m.end]) for m in sorted(sizes, key=lambda m: m.start)]
    return ", ".join(f"{size} {line.text(foot)}" for size, foot in told if foot.code != ALL_FOUR)
