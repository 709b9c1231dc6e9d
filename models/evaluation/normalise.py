"""One spelling for both sides of a comparison: what a reader wrote and what was said.

Digits become spoken numbers, marks go, spelling variants and split words become one. Numbers are
runs of number words.
"""

from __future__ import annotations

import re
import sys
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "graph"))

from dictation import ONES, TENS, spoken

SAME = {
    "millimetre": "millimeter", "millimetres": "millimeters", "centimetre": "centimeter",
    "centimetres": "centimeters", "aluminium": "aluminum", "sulphate": "sulfate", "ok": "okay",
    "alright": "all right", "mm": "millimeters", "cm": "centimeters", "ought": "aught",
    "mr": "mister", "mrs": "missus", "dr": "doctor", "mils": "mil", "mill": "mil",
    "grey": "gray", "coloured": "colored", "gonna": "going to", "til": "till", "ya": "you",
    "clubfoot": "club foot", "under run": "underrun", "re check": "recheck",
    "side bone": "sidebone", "side bones": "sidebones", "ring bone": "ringbone",
    "hair line": "hairline", "x rays": "x-rays", "x ray": "x-ray", "bevelled": "beveled",
    "levelled": "leveled", "um": "", "uh": "", "er": "", "hmm": "",
    "percent": "per cent",
}  # fmt: skip
"""Written differently, said the same (or not worth telling apart)."""
FRACTION_WORDS = {
    "half", "quarter", "quarters", "eighth", "eighths", "sixteenth", "sixteenths",
}  # fmt: skip
NUMBER_WORDS = {*ONES, *filter(None, TENS), "hundred", "thousand", "point", *FRACTION_WORDS}
INSIDE = {"and", "a", "an"}
_SIGNS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4", "⅛": " 1/8", "⅜": " 3/8", "⅝": " 5/8",
          "⅞": " 7/8", "⁄": "/", "°": " degrees", "’": "'"}  # fmt: skip


def _fraction(match: re.Match[str]) -> str:
    whole, top, bottom = match[1], int(match[2]), int(match[3])
    names = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth"}
    if bottom not in names or not top:
        return match[0].replace("/", " ")
    f = Fraction(top, bottom)
    name = names[f.denominator] if f.denominator in names else names[bottom]
    text = f"a {name}" if f.numerator == 1 else f"{spoken(f.numerator)} {name}s"
    text = text.replace("a eighth", "an eighth")
    return f"{spoken(int(whole))} and {text}" if whole else text


def normalise(text: str) -> str:
    """Lower-case words separated by single spaces.

    >>> normalise("Toe's 3 3/8 inches, 52°.")
    "toe's three and three eighths inches fifty two degrees"
    """
    for sign, plain in _SIGNS.items():
        text = text.replace(sign, plain)
    text = text.lower().replace("-", " ").replace("%", " percent").replace('"', " inches ")
    text = re.sub(r"(?:(\d+)\s+)?(?<![\d.])(\d+)/(\d+)", _fraction, text)
    text = re.sub(r"(\d),(\d{3})", r"\1\2", text)
    text = re.sub(
        r"(\d+)\.(\d+)",
        lambda m: f"{spoken(int(m[1]))} point {' '.join(ONES[int(d)] for d in m[2])}",
        text,
    )
    ordinals = {"1st": "first", "2nd": "second", "3rd": "third", "5th": "fifth", "6th": "sixth"}
    text = re.sub(r"\b\d+(?:st|nd|rd|th)\b", lambda m: ordinals.get(m[0], m[0][:-2] + " th"), text)
    text = re.sub(r"\d{5,}", lambda m: " ".join(ONES[int(d)] for d in m[0]), text)
    text = re.sub(r"\d+", lambda m: f" {spoken(int(m[0]))} ", text)
    text = re.sub(r"[^a-z' ]", " ", text)
    words = [w.strip("'") for w in text.split()]
    text = f" {' '.join(w for w in words if w)} "
    for variant, usual in SAME.items():
        text = text.replace(f" {variant} ", f" {usual} ")
        text = text.replace(f" {variant} ", f" {usual} ")
    text = re.sub(r" (a|one) hundred and ", " one hundred ", text)
    text = re.sub(r" hundred and ", " hundred ", text)
    return " ".join(text.split())


def numbers(words: list[str]) -> list[tuple[int, int]]:
    """Word spans of the numbers: "three and a quarter" is one; "a" alone is none."""
    spans: list[tuple[int, int]] = []
    at = 0
    while at < len(words):
        if words[at] not in NUMBER_WORDS:
            at += 1
            continue
        end = at + 1
        while end < len(words):
            if words[end] in NUMBER_WORDS:
                end += 1
                continue
            gap = end
            while gap < len(words) and words[gap] in INSIDE:
                gap += 1
            joins = gap > end and gap < len(words) and words[gap] in FRACTION_WORDS | set(ONES)
            if not joins or gap - end > 2:
                break
            end = gap
        spans.append((at, end))
        at = end
    return spans
