"""Microchip and UELN against published examples."""

from __future__ import annotations

import pytest

from fieldlog.core.identity import check_microchip, check_ueln
from fieldlog.errors import BadIdentity


@pytest.mark.parametrize("chip", ["968000004531234", "040098100111917", "968 000 004 531 234"])
def test_real_chips(chip: str) -> None:
    """ISO 11784 as described by ICAR and animaldata.com."""
    assert len(check_microchip(chip)) == 15


@pytest.mark.parametrize("chip", ["985999999999999", "12345", "96800000453123A", "000000000000001"])
def test_impossible_chips(chip: str) -> None:
    """ISO 11784: twelve digits of at most 38 bits, 274,877,906,943."""
    with pytest.raises(BadIdentity):
        check_microchip(chip)


@pytest.mark.parametrize(
    "code", ["25000100155928M", "372414001234567", "1212120078M0234", "620001002246438"]
)
def test_real_uelns(code: str) -> None:
    """Examples from ueln.net and equisport.pt."""
    assert check_ueln(code.lower()) == code


@pytest.mark.parametrize(
    "code", ["25000100155928", "25000100155928MM", "2500010015592/M", "X" * 15]
)
def test_impossible_uelns(code: str) -> None:
    with pytest.raises(BadIdentity):
        check_ueln(code)
