"""The lines of the due list as text: pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rich.cells import cell_len
from textual.content import Content

from fieldlog.app.due_groups import DueBy, DueView, Group, when_words
from fieldlog.app.shown import fit, pad, plain
from fieldlog.language.wording import describe_feet

EMPTY = {
    DueBy.WHEN: (
        "Nothing is due.\n\n"
        "A promise becomes a line here when its note is saved: “recheck in four weeks”, “get "
        "radiographs before the next trim”, “bring number one shoes”. When a horse has been "
        "seen, its next visit is due after its own number of weeks. i adds one by hand."
    ),
    DueBy.BARN: "Nothing is due at any barn.",
    DueBy.OTHERS: (
        "Nothing waits for somebody else.\n\n"
        "What an owner or a veterinarian is to do stands here until you mark it done."
    ),
}


@dataclass(frozen=True, slots=True)
class DueRows:
    """How the lines are shown just now."""

    by: DueBy
    today: date
    width: int
    """Cells of a row."""
    british: bool

    @staticmethod
    def title(group: Group) -> str:
        """``! overdue  (3)``."""
        mark = "! " if group.title in ("urgent", "overdue") else ""
        return f"{mark}{plain(group.title)}  ({len(group.items)})"

    def row(self, item: DueView) -> Content:
        """``Fri 27 Nov   Juniper       recheck · left front · if not sounder   Alder Creek``."""
        when, what = when_words(item, self.today), self.words(item)
        # Below the list the barn stands whole; a narrow row keeps its room for the words.
        barn = "" if self.by is DueBy.BARN or self.width < 70 else fit(item.barn, 16)
        lead = f" {when:<15} {pad(item.horse, 14)} "
        room = self.width - cell_len(lead) - (cell_len(barn) + 2 if barn else 0)
        return Content(f"{lead}{pad(what, room)}{'  ' + barn if barn else ''}")

    def words(self, item: DueView) -> str:
        """What, where on the horse, on what condition, and who is to act."""
        parts = [f"URGENT: {item.what}" if item.urgent else item.what]
        if item.feet:
            parts.append(describe_feet(item.feet, self.british))
        if item.condition:
            parts.append(item.condition)
        if item.also:
            parts.append(item.where_said.partition(":")[0])
        if item.who not in ("farrier", "") and self.by is not DueBy.OTHERS:
            parts.append(f"{item.who} is to act")
        return " · ".join(parts)

    def whole(self, item: DueView) -> str:
        """Two lines: all of it, which a row may have to cut, and whose it is."""
        parts = (item.horse, item.barn, item.where_said)
        where = " · ".join(plain(part) for part in parts if part)
        return f"{plain(self.words(item))}\n{where}"
