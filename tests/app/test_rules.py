"""What must hold for the whole app: contrast, no colour alone, no early heavy imports."""

from __future__ import annotations

import subprocess
import sys

import pytest
from textual.color import Color
from textual.theme import Theme

from fieldlog.app.keys import LAST_KEYS, SCREEN_KEYS, Key
from fieldlog.app.look import THEMES
from fieldlog.app.screens.base import ToolScreen
from fieldlog.app.screens.day import DayScreen
from fieldlog.app.screens.due import DueScreen
from fieldlog.app.screens.horse import HorseScreen
from fieldlog.app.screens.record import RecordScreen
from fieldlog.app.screens.search import SearchScreen

SCREENS: list[type[ToolScreen]] = [DayScreen, RecordScreen, DueScreen, SearchScreen, HorseScreen]


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.2 defines it (w3.org/TR/WCAG22, from memory)."""
    parts = []
    for part in Color.parse(colour).rgb:
        value = part / 255
        parts.append(value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4)
    return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio as WCAG 2.2 defines it."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def test_contrast_of_black_and_white_is_21() -> None:
    """The end points that WCAG 2.2 itself gives: 21 to 1 and 1 to 1."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == pytest.approx(1)


@pytest.mark.parametrize("theme", THEMES.values(), ids=list(THEMES))
def test_every_text_colour_is_readable_on_every_ground(theme: Theme) -> None:
    """WCAG 2.2, 1.4.3: at least 4.5 to 1."""
    texts = {"foreground": theme.foreground, **theme.variables}
    grounds = {name: getattr(theme, name) for name in ("background", "surface", "panel")}
    for text, colour in texts.items():
        for ground, behind in grounds.items():
            assert contrast(str(colour), behind) >= 4.5, f"{text} on {ground}"
    assert contrast(str(theme.background), theme.primary) >= 4.5


@pytest.mark.parametrize("screen", SCREENS)
def test_no_key_means_two_things_and_every_key_has_help(screen: type[ToolScreen]) -> None:
    keys: tuple[Key, ...] = (*screen.KEYS, *SCREEN_KEYS, *LAST_KEYS)
    single = [name for key in keys for name in key.key.split(",")]
    assert len(single) == len(set(single))
    assert all(key.what and key.shown for key in keys)
    assert screen.ABOUT


@pytest.mark.parametrize("screen", SCREENS)
def test_the_most_used_keys_fit_into_80_columns(screen: type[ToolScreen]) -> None:
    from fieldlog.app.keys import bar

    shown = bar((*screen.KEYS, *LAST_KEYS), 80).plain
    assert len(shown) <= 80
    assert shown.endswith("? help")
    if screen is DayScreen:
        for word in ("next", "right", "change", "foot", "play", "delete", "undo", "save"):
            assert word in shown


def test_the_first_screen_needs_no_speech_language_or_sound_library() -> None:
    code = (
        "import sys, fieldlog.app.main, fieldlog.app.desk, fieldlog.app.screens.day; "
        "bad = {'spacy', 'vosk', 'sounddevice', 'soundfile', 'av', 'numpy', 'matplotlib'}; "
        "print(sorted(bad & set(sys.modules)))"
    )
    out = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"
