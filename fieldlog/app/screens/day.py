"""The day: every draft against its words and its sound; saved only after a look."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import BindingType

from fieldlog.app.keys import Key, bindings
from fieldlog.app.screens.day_sheets import DaySheets


class DayScreen(DaySheets):
    """Drafts on the left, the one in hand on the right."""

    NAME = "day"
    ABOUT = (
        "Every note you dictated waits here as a draft until you save it. Things that may be "
        "wrong come first, each saying why: look at the words, play the piece of sound, accept "
        "it or change it. A saved entry is never changed in place: a correction makes a new "
        "revision and keeps the old one. Signs in the list: ? look at it, ✓ sure, ■ saved, "
        "! call a veterinarian."
    )
    KEYS = (
        Key("n", "next_look", "n", "the next thing to look at, here or in a later entry", "next"),
        Key("a,enter", "accept", "a", "right as it stands; goes on to the next", "right"),
        Key("c", "change", "c", "change it: pick another reading by its number", "change"),
        Key("o", "other", "o", "take what the second reader heard, where the two differ"),
        Key("f", "foot", "f", "move it to another foot, by number", "foot"),
        Key("p,space", "play", "p", "play the piece of sound of this fact", "play"),
        Key("d,delete", "delete", "d", "delete this fact", "delete"),
        Key("u,ctrl+z", "undo", "u", "take the last correction back", "undo"),
        Key("s", "save", "s", "save this entry (twice if something was not looked at)", "save"),
        Key("S", "save_sure", "S", "save every entry that is sure", "save sure"),
        Key(
            "t",
            "retype",
            "t",
            "type what it should be: “3 1/4 in”, “flare outside quarter”",
            "type",
        ),
        Key("x", "negate", "x", "there / not there, done / not done", "not"),
        Key("m", "doubt", "m", "certain / suspected", "maybe"),
        Key("h", "horse", "h", "whose entry this is: a known horse or a new one", "horse"),
        Key("T", "date", "T", "type the day that this note is of: “yesterday”, “friday”, “24 nov”"),
        Key("i", "add", "i", "add something by typing, or what was set aside", "add"),
        Key("w", "whole_note", "w", "the whole note: every word, and what made no fact"),
        Key("P", "play_note", "P", "play the whole note"),
        Key("b", "split", "b", "break in two: by foot, by place, or at “or”"),
        Key("j", "join", "j", "join with the next fact of the same sort"),
        Key("B", "split_entry", "B", "another horse begins at this fact: makes two entries"),
        Key("J", "join_entry", "J", "join with the next entry of the same recording"),
        Key("l", "learn", "l", "keep what the last correction taught as a rule of yours"),
        Key("D", "discard", "D", "set the whole draft aside"),
        Key("R", "take_in", "R", "rescue a recording that was cut off, read what was not read"),
        Key("down", "move(1)", "↓", "the next fact"),
        Key("up", "move(-1)", "↑", "the fact before"),
        # A Mac's own terminal keeps PgUp and PgDn for itself.
        Key("pagedown,right", "entry(1)", "PgDn →", "the next entry"),
        Key("pageup,left", "entry(-1)", "PgUp ←", "the entry before"),
        Key("tab", "to_list", "Tab", "between the list of entries and the facts"),
    )
    BINDINGS: ClassVar[list[BindingType]] = bindings(KEYS)
