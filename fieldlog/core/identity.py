"""Microchip and UELN: the two published identities of a horse.

Microchip: 15 digits after ISO 11784; the first three are a country (001-899, ISO 3166 numeric) or
a manufacturer (900 and above), the last twelve fit 38 bits, so at most 274,877,906,943
(sources: ICAR slides on ISO 11784; animaldata.com). There is no check digit (from memory).

UELN: 15 characters, three digits of country (ISO 3166 numeric), three of the database and nine of
the animal, digits and capital letters only (source: ueln.net rules).
"""

from __future__ import annotations

import re

from fieldlog.errors import BadIdentity

LARGEST_ANIMAL = 274_877_906_943
"""2**38 - 1."""


def check_microchip(text: str) -> str:
    """The microchip as 15 digits, spaces and dashes taken out.

    Raises:
        BadIdentity: not 15 digits, no country or maker, or a number too large for 38 bits.
    """
    digits = re.sub(r"[\s-]", "", text)
    if not re.fullmatch(r"[0-9]{15}", digits):
        raise BadIdentity(
            f"“{text}” is not a microchip number.", "It has 15 digits; scan or type it again."
        )
    if digits[:3] == "000":
        raise BadIdentity(
            f"The microchip {digits} begins with no country or maker.", "Check the first digits."
        )
    if int(digits[3:]) > LARGEST_ANIMAL:
        raise BadIdentity(
            f"The microchip {digits} is too large to be real (ISO 11784 allows 38 bits).",
            "Check the last twelve digits.",
        )
    return digits


def check_ueln(text: str) -> str:
    """The UELN as 15 characters, spaces and dashes taken out, letters in capitals.

    Raises:
        BadIdentity: wrong length, or characters that a UELN cannot have.
    """
    code = re.sub(r"[\s-]", "", text).upper()
    if not re.fullmatch(r"[0-9]{3}[0-9A-Z]{12}", code):
        raise BadIdentity(
            f"“{text}” is not a UELN.",
            "It has 15 characters and begins with three digits of the country.",
        )
    return code
