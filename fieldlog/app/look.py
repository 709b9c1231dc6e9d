"""Colours: two themes of our own, dark for the barn and light for the sun.

Every text colour keeps a contrast of at least 4.5 : 1 against its ground (WCAG 2.2, success
criterion 1.4.3); the tests compute it. No state is told by colour alone.
"""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="fieldlog-dark",
    primary="#8fb8a8",
    secondary="#c9b48a",
    accent="#d7a65f",
    warning="#f0c257",
    error="#ff9c8a",
    success="#9fd08c",
    foreground="#ece7dc",
    background="#1b1d1a",
    surface="#242722",
    panel="#2f332c",
    dark=True,
    variables={
        "text-muted": "#a9ab9f",
        "text-warning": "#f0c257",
        "text-error": "#ff9c8a",
        "text-accent": "#d7a65f",
        "text-success": "#9fd08c",
        "text-primary": "#a9d0c1",
    },
)

LIGHT = Theme(
    name="fieldlog-light",
    primary="#2c6250",
    secondary="#6b5626",
    accent="#8a4b08",
    warning="#7a4f00",
    error="#a3210f",
    success="#2b641b",
    foreground="#1e201c",
    background="#fbf9f3",
    surface="#f2efe5",
    panel="#e3dfd1",
    dark=False,
    variables={
        "text-muted": "#595b52",
        "text-warning": "#7a4f00",
        "text-error": "#a3210f",
        "text-accent": "#8a4b08",
        "text-success": "#2b641b",
        "text-primary": "#22503f",
    },
)

THEMES = {"dark": DARK, "light": LIGHT}
