"""Text that must not reach the terminal as it is."""

from __future__ import annotations

from fieldlog.app.shown import count, fit, pad, plain


def test_escape_codes_markup_and_direction_marks_are_harmless() -> None:
    assert plain("Bo\x1b[31mss\x07") == "Bo[31mss"
    assert plain("Star\u202ename\u200b") == "Starname"
    assert plain("two\nlines\there") == "two lines here"
    assert plain("[bold]Rosie[/]") == "[bold]Rosie[/]"
    assert len(plain("x" * 5000)) == 2000


def test_wide_letters_take_two_cells() -> None:
    """East Asian Width W counts two columns (Unicode Standard Annex 11)."""
    assert fit("馬馬馬馬", 8) == "馬馬馬馬"
    assert fit("馬馬馬馬", 6) == "馬馬…"
    assert pad("馬", 5) == "馬   "


def test_fit_and_count() -> None:
    assert fit("Juniper", 20) == "Juniper"
    assert fit("Juniper the second", 8) == "Juniper…"
    assert fit("Juniper", 0) == ""
    assert [count(n, "note") for n in (0, 1, 2)] == ["no notes", "1 note", "2 notes"]
