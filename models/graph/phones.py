"""The phone set: 39 ARPABET phones without stress, and the two ways into it.

CMUdict entries lose their stress digits; hibari's grapheme-to-phoneme output (misaki symbols)
is mapped sign by sign. The acoustic model's outputs are blank (0) then ``PHONES`` in this order.
"""

from __future__ import annotations

from collections.abc import Sequence

VOWELS = {
    "A": "EY", "I": "AY", "O": "OW", "W": "AW", "Y": "OY", "Q": "OW", "i": "IY", "ɪ": "IH",
    "ᵻ": "IH", "ɛ": "EH", "æ": "AE", "a": "AE", "ɑ": "AA", "ɒ": "AA", "ɔ": "AO", "ʊ": "UH",
    "u": "UW", "ʌ": "AH", "ə": "AH", "ɐ": "AH", "ᵊ": "AH", "ɜ": "ER",
}  # fmt: skip
CONSONANTS = {
    "b": "B", "d": "D", "f": "F", "h": "HH", "j": "Y", "k": "K", "l": "L", "m": "M", "n": "N",
    "p": "P", "s": "S", "t": "T", "v": "V", "w": "W", "z": "Z", "ɡ": "G", "ŋ": "NG", "ɹ": "R",
    "ʃ": "SH", "ʒ": "ZH", "ʤ": "JH", "ʧ": "CH", "θ": "TH", "ð": "DH", "T": "T", "ɾ": "T",
}  # fmt: skip
PHONES: list[str] = sorted(set(VOWELS.values()) | set(CONSONANTS.values()))
ID: dict[str, int] = {phone: i + 1 for i, phone in enumerate(PHONES)}


def from_misaki(text: str) -> list[str]:
    """ARPABET phones of one misaki string; word gaps and marks are dropped.

    A schwa followed by r, or the long central vowel followed by r, is one ``ER``.
    """
    phones: list[str] = []
    for word in text.split(" "):
        current: list[str] = []
        last = ""
        for sign in word:
            phone = VOWELS.get(sign) or CONSONANTS.get(sign)
            if phone is None:
                continue
            if phone == "R" and current and current[-1] == "ER":
                continue
            if phone == "R" and current and current[-1] == "AH" and last in "əɐ":
                current[-1] = "ER"
                last = sign
                continue
            current.append(phone)
            last = sign
        phones += current
    return phones


def from_cmu(fields: list[str]) -> list[str]:
    """CMUdict fields ("AH0", "R") without their stress digits."""
    return [field.rstrip("012") for field in fields]


def distance(a: Sequence[object], b: Sequence[object]) -> int:
    """How many must be put in, taken out or changed to make one sequence the other."""
    row = list(range(len(b) + 1))
    for i, x in enumerate(a, 1):
        before, row[0] = row[0], i
        for j, y in enumerate(b, 1):
            before, row[j] = row[j], min(row[j] + 1, row[j - 1] + 1, before + (x != y))
    return row[-1]
