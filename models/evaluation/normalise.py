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
    "aluminium": "aluminum", "ok": "okay", "mm": "millimeters", "cm": "centimeters",
    "ought": "aught", "mr": "mister", "mrs": "missus", "dr": "doctor", "mils": "mil",
    "mill": "mil", "gonna": "going to", "til": "till", "ya": "you", "x rays": "x-rays",
    "x ray": "x-ray", "um": "", "uh": "", "er": "", "hmm": "", "percent": "per cent",
}  # fmt: skip
"""Written differently, said the same (or not worth telling apart)."""
JOINED = (
    # common words
    "any body", "any more", "any one", "any thing", "any where", "every body", "every one",
    "every thing", "every where", "some body", "some thing", "some what", "some where",
    "no body", "no where", "half way", "mid way", "mid line", "in side", "out side", "up side",
    "with out", "through out", "under neath", "up right", "up hill", "down hill", "side ways",
    "on to", "for ever", "what ever", "when ever", "can not", "it self", "him self", "her self",
    "them selves", "over night", "over due", "after noon", "week end", "dinner time",
    "lunch time", "good night", "back yard", "farm yard", "barn yard", "tool box", "thumb nail",
    "toe nail", "home made", "hand made", "straight edge",
    # the trade's
    "side bone", "side bones", "ring bone", "ring bones", "hair line", "hair lines",
    "side wall", "side walls", "hoof print", "hoof pick", "break over", "over reach",
    "over reached", "over reaching", "over grown", "under run", "under slung", "string halt",
    "wind gall", "wind galls", "wind puff", "wind puffs", "blow out", "blow outs", "bare foot",
    "fore foot", "foot sore", "flat footed", "pigeon toed", "cross tie", "cross ties",
    "cross tied", "head collar", "hay net", "hay loft", "brood mare", "brood mares",
    "body weight", "pain killer", "pain killers", "pre purchase", "re check", "re checked",
    "re set", "re shod", "re shoe", "re nail", "re nailed", "re packed", "re cut",
)  # fmt: skip
"""One word with or without a gap, written joined (not "may be", "any way", "turn out": those can
mean two things)."""
PARTED = {
    "clubfoot": "club foot", "clubfeet": "club feet", "clubfooted": "club footed",
    "hoofwall": "hoof wall", "toeclip": "toe clip", "toeclips": "toe clips",
    "nailhole": "nail hole", "nailholes": "nail holes", "studhole": "stud hole",
    "studholes": "stud holes", "horseshoe": "horse shoe", "horseshoes": "horse shoes",
    "alright": "all right", "thankyou": "thank you",
}  # fmt: skip
"""The same the other way: where the parts are terms that are counted, or the gap is usual."""
AMERICAN = [
    (r"\b(behavi|col|fav|flav|harb|hon|hum|lab|neighb|od|rum|tum|vap)our"
     r"(?=(s|ed|ing|ful|less|able|ite|ites|hood|ly|y)?\b)", r"\1or"),
    (r"\b(calib|cent|centimet|fib|kilomet|lit|met|millimet|theat)re(?=s?\b)", r"\1er"),
    (r"\b(bevel|cancel|label|level|marvel|model|panel|pedal|shovel|swivel|travel|tunnel)l"
     r"(?=(ed|ing|er|ers)\b)", r"\1"),
    (r"\b(apolog|caps|cauter|civil|critic|emphas|final|immun|maxim|memor|minim|modern|normal|"
     r"organ|priorit|real|recogn|special|stabil|steril|summar|symbol|util)is"
     r"(?=(e|es|ed|er|ing|ation)\b)", r"\1iz"),
    (r"\b(anal|cat|paral)ys(?=(e|ed|ing)\b)", r"\1yz"),
    (r"\b(an|glyc|h|septic|tox|ur)aem(?=[a-z])", r"\1em"),
    (r"anaesth", "anesth"), (r"\boedem", "edem"), (r"orthopaed", "orthoped"),
    (r"\bdiarrhoea", "diarrhea"), (r"\boesoph", "esoph"), (r"manoeuvr", "maneuver"),
    (r"\bsulph", "sulf"), (r"\b(m|sm)oul(?=(d|t|der)(s|ed|ing|y)?\b)", r"\1ol"),
    (r"\bplough", "plow"), (r"\bgrey(?=(s|er|ing|ish)?\b)", "gray"),
    (r"\b(def|off|lic)ence(?=s?\b)", r"\1ense"), (r"\bpractis(?=(e|es|ed|ing)\b)", "practic"),
    (r"\bcatalogue", "catalog"), (r"\btyre(?=s?\b)", "tire"), (r"\bkerb", "curb"),
    (r"\bdraught", "draft"), (r"\bageing\b", "aging"), (r"\bjudgement", "judgment"),
    (r"\bskilful", "skillful"),
]  # fmt: skip
"""British spellings of trade and common words, and what American writers put."""
VARIANTS = SAME | PARTED | {x: x.replace(" ", "") for x in JOINED}
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
    for british, american in AMERICAN:
        text = re.sub(british, american, text)
    for variant, usual in VARIANTS.items():
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
