"""One entry: what is urgent, the words, the fact under the cursor and why, the feet."""

from __future__ import annotations

from collections.abc import Sequence

from rich.cells import cell_len
from textual.app import ComposeResult
from textual.containers import Vertical, VerticalScroll
from textual.content import Content
from textual.geometry import Region
from textual.message import Message
from textual.widgets import Static

from fieldlog.app.choices import choices
from fieldlog.app.editing import FOOT_DOUBTS
from fieldlog.app.feet_table import LEGEND as TABLE_LEGEND
from fieldlog.app.feet_table import LOOK, LOOKED_AT, draw
from fieldlog.app.grouping import to_look_at, walk
from fieldlog.app.note_text import DIFFER_LEGEND, note_text
from fieldlog.app.note_text import LEGEND as NOTE_LEGEND
from fieldlog.app.shown import fit, plain
from fieldlog.app.views import EntryView
from fieldlog.core.disputes import NOTHING, Stretch
from fieldlog.core.facts import Fact
from fieldlog.language.in_words import in_words

LISTED = 12
"""Cells of a name that the list of entries always has room for. A longer one stands whole above
the words: of two Rosies the wrong one must be seen before the entry is saved."""
LEGENDS = ("", TABLE_LEGEND, NOTE_LEGEND)
NO_FACTS = "Nothing in these words was understood. i adds by typing; s twice saves the words."
COPIED = "its day, {}, is perhaps only that on which its file was copied: T gives it another"
HORSE_ASKED = "Whose entry is this? h gives it a horse, known or new."


class LaidOut(Message):
    """Something has a new size: only now can the cursor be brought into view."""


class Text(Static):
    """Text that says when it is laid out anew."""

    def on_resize(self) -> None:
        self.post_message(LaidOut())


class Window(VerticalScroll):
    """What text is seen through; says when it is laid out anew."""

    def on_resize(self) -> None:
        self.post_message(LaidOut())


class EntryPane(Vertical):
    """Draws an ``EntryView`` with one fact selected."""

    def __init__(self, british: bool = False) -> None:
        super().__init__(id="entry")
        self._british = british
        self._view: EntryView | None = None
        self._selected = ""
        self._lit_row = 0
        self._fact_rows: tuple[int, int] | None = None

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="flags", can_focus=False):
            yield Static(id="flag-text", markup=False)
        yield Static(id="whose", markup=False)
        with Window(id="note", can_focus=False):
            yield Text(id="words", markup=False)
        yield Static(id="fact", markup=False)
        with Window(id="feet", can_focus=False):
            yield Text(id="table", markup=False)

    def show(self, view: EntryView, selected: str) -> None:
        """Show an entry; ``selected`` is the id of a fact or empty."""
        self._view, self._selected = view, selected
        self._draw()

    def on_resize(self) -> None:
        self._draw()

    def _draw(self) -> None:
        view = self._view
        if view is None or not self.size.width:
            return
        fact = next((f for f in view.entry.facts if f.id == self._selected), None)
        self.query_one("#flags").set_class(bool(view.flags), "up")
        self.query_one("#flag-text", Static).update(flag_content(view))
        whose = self.query_one("#whose", Static)
        whose.display = cell_len(view.short) > LISTED
        whose.update(Content.styled(view.name, "bold"))
        width = self.size.width - 4
        words = note_text(
            view.transcript, width, fact.span if fact else (0, 0), view.entry.stretches
        )
        self.query_one("#words", Static).update(words.content)
        self._lit_row = words.lit_row
        self.query_one("#fact", Static).update(
            fact_content(view, fact, self.size.width - 2, self._british)
        )
        self._draw_feet(view, width)

    def _draw_feet(self, view: EntryView, width: int) -> None:
        table = draw(
            view.entry.facts, width, self._selected, view.looked_at, view.computed, self._british
        )
        below = kept_as_said(view, self._british)
        self.query_one("#table", Static).update(Content.assemble(table.content, below))
        self._fact_rows = table.rows_of.get(self._selected)
        # If the size stays, nothing is laid out anew and this is enough; else see below.
        self.call_after_refresh(self._scroll)

    def on_laid_out(self, message: LaidOut) -> None:
        """Bring the cursor into view again."""
        message.stop()
        self._scroll()

    def _scroll(self) -> None:
        """Bring the lit words and the selected fact into view."""
        note, feet = self.query_one("#note"), self.query_one("#feet")
        note.scroll_to(y=max(0, self._lit_row - 1), animate=False, force=True)
        if self._fact_rows is None:
            feet.scroll_home(animate=False)
            return
        first, last = self._fact_rows
        region = Region(0, max(0, first - 1), 1, last - first + 3)
        feet.scroll_to_region(region, animate=False, force=True)


def flag_content(view: EntryView) -> Content:
    """When to call a veterinarian; the last line, who decides, is quiet."""
    if not view.flags:
        return Content("")
    *calls, defer = view.flags
    return Content.assemble(
        *(Content.styled(f"! {plain(call)}\n", "bold $text-error") for call in calls),
        Content.styled(f"  {plain(defer)}", "$text-muted"),
    )


def fact_content(view: EntryView, fact: Fact | None, width: int, british: bool) -> Content:
    """The strip between words and feet: the selected fact and why it needs a look."""
    if fact is None:
        asked = ""
        if not view.saved:
            asked = HORSE_ASKED if view.horse is None else "" if view.entry.facts else NO_FACTS
        text = asked or "Nothing is selected. i adds something by typing."
        other = view.disputes.get("", ()) if not view.saved else ()
        if other:
            text += f"\nTwo readers differ: {other[0]}. {_other_reading(other)}"
        return Content.styled(text, "$text-warning" if asked else "")
    waiting = [f.id for f in to_look_at(view.entry.facts)]
    order = [f.id for f in walk(view.entry.facts)]
    first = Content.styled(fit(in_words(fact, british), width), "bold")
    if fact.id in waiting and not view.saved:
        place = f"{LOOK} {waiting.index(fact.id) + 1} of {len(waiting)} to look at: "
        why = " ".join(plain(d.reason) for d in fact.doubts)
        second = Content.styled(fit(place + why, width * 2), "$text-warning")
        other = view.disputes.get(fact.id, ())
        offered = [_other_reading(other)] if other else []
        third = fit("   ".join(["a right", *offered, *_offered(fact)]), width)
    else:
        unseen = view.unseen.get(fact.id, ())
        sign = f"{LOOKED_AT} looked at" if fact.id in view.looked_at else "sure"
        sign = "saved without a look" if unseen else sign
        why = " ".join(plain(d.reason) for d in unseen) or fact.why_foot
        place = f"{order.index(fact.id) + 1} of {len(order)}, {sign}. "
        second = Content.styled(
            fit(place + why, width * 2), "$text-warning" if unseen else "$text-muted"
        )
        third = HORSE_ASKED if view.horse is None and not view.saved else ""
    return Content.assemble(first, "\n", second, "\n", third)


def _other_reading(found: Sequence[Stretch]) -> str:
    """``o “no thrush”``: the key that takes what the second reader heard."""
    return "o " + " or ".join(
        f"“{plain(s.theirs)}”" if s.theirs != NOTHING else f"without “{plain(s.ours)}”"
        for s in found
    )


def _offered(fact: Fact) -> list[str]:
    """The two keys of each likely correction, e.g. ``c1 3 3/4 in``."""
    if any(d.code in FOOT_DOUBTS for d in fact.doubts):
        return ["f  1 LF  2 RF  3 LH  4 RH  5 fronts  6 hinds"]
    return [f"c{i} {plain(c.label)}" for i, c in enumerate(choices(fact)[:4], start=1)]


def kept_as_said(view: EntryView, british: bool) -> Content:
    """Under the feet: what was taken back while speaking, and words that made no fact."""
    lines = [COPIED.format(view.when.date())] if view.copied else []
    for correction in view.entry.corrections:
        before = ", ".join(in_words(f, british) for f in correction.before) or "nothing"
        after = ", ".join(in_words(f, british) for f in correction.after) or "taken back"
        lines.append(f"corrected while speaking: {before} → {after}")
    for passage in view.entry.unread:
        offers = " or ".join(in_words(f, british) for f in view.entry.offers(passage))
        more = f" (i offers {offers})" if offers and not view.saved else ""
        lines.append(f"kept as said: “{passage.text}”{more}")
    legends = (
        (*LEGENDS, DIFFER_LEGEND) if any(w.at_stake for w in view.transcript.words) else LEGENDS
    )
    return Content.styled(
        "".join(f"\n {plain(line)}" for line in [*lines, *legends]), "$text-muted"
    )
