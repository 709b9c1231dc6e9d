"""One table of keys per screen: bindings, the bar at the foot and the help are all made from it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from textual.binding import Binding, BindingType
from textual.content import Content


@dataclass(frozen=True, slots=True)
class Key:
    """What one key does."""

    key: str
    """Textual's name, or several with commas: ``question_mark,f1``."""
    action: str
    shown: str
    """How the key is called on the screen, e.g. ``?``."""
    what: str
    """A full phrase for the help."""
    short: str = ""
    """One or two words for the bar at the foot; empty: only in the help."""
    first: bool = False
    """Taken before the focused widget gets it."""


def bindings(keys: Iterable[Key]) -> list[BindingType]:
    """Textual bindings for a table of keys."""
    return [Binding(k.key, k.action, k.what, show=False, priority=k.first) for k in keys]


def bar(keys: Iterable[Key], width: int) -> Content:
    """The keys that fit into one line; the last one, which opens the help, always does."""
    wanted = [k for k in keys if k.short]
    if not wanted:
        return Content("")
    *rest, last = wanted
    room = width - len(last.shown) - len(last.short) - 3
    parts: list[Content | str] = []
    for key in rest:
        length = len(key.shown) + 1 + len(key.short) + 2
        if length > room:
            break
        room -= length
        parts += [Content.styled(key.shown, "bold $text-accent"), f" {key.short}  "]
    parts += [Content.styled(last.shown, "bold $text-accent"), f" {last.short}"]
    return Content.assemble(" ", *parts)


SCREEN_KEYS: tuple[Key, ...] = (
    Key("1,f2", "app.go('day')", "1", "the day: look over and save what was dictated"),
    Key("2,f3", "app.go('record')", "2", "record: dictate with your hands full"),
    Key("3,f4", "app.go('due')", "3", "due: what was promised, and by when"),
    Key("4,f5", "app.go('search')", "4", "search: find words and findings in saved notes"),
    Key("5,f6", "app.go('horse')", "5", "horse: one horse before the visit, and over time"),
)
"""The same on every screen; F2 to F6 also work while typing. The same key again reads anew."""

LAST_KEYS: tuple[Key, ...] = (
    Key("escape", "back", "Esc", "stop the sound, or go back"),
    Key("q,ctrl+q", "app.leave", "q", "quit; every draft is kept"),
    Key("question_mark,f1", "help", "?", "this page", "help"),
)
