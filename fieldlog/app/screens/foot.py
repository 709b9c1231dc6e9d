"""Choose a foot: the four as they stand, each with its number; one key moves a fact."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.content import Content
from textual.events import Key
from textual.widgets import Static

from fieldlog.app.screens.sheet import Sheet
from fieldlog.app.shown import content
from fieldlog.core.feet import ALL_FEET, FRONTS, HINDS, Foot
from fieldlog.language.wording import describe_feet

Feet = tuple[Foot, ...]

FEET_KEYS: dict[str, Feet] = {
    "1": (Foot.LF,),
    "2": (Foot.RF,),
    "3": (Foot.LH,),
    "4": (Foot.RH,),
    "5": FRONTS,
    "6": HINDS,
    "7": ALL_FEET,
    "8": (),
}


class FootScreen(Sheet[Feet]):
    """Returns the chosen feet (empty: the whole horse), or None."""

    def __init__(self, about: str, now: Feet, british: bool = False) -> None:
        super().__init__()
        self._about = about
        self._now = now
        self._british = british

    def compose(self) -> ComposeResult:
        with Vertical(id="sheet") as sheet:
            sheet.border_title = "Which foot?"
            sheet.border_subtitle = "1-8 chooses   Esc leaves it as it is"
            yield Static(content(self._about), classes="gap")
            yield Static(self._picture())

    def _picture(self) -> Content:
        def cell(key: str) -> Content:
            feet = FEET_KEYS[key]
            name = describe_feet(feet, self._british)
            mark = "►" if feet == self._now else " "
            text = f"{mark}{key} {name}"
            return Content.styled(f"{text:<20}", "bold" if feet == self._now else "")

        return Content.assemble(
            Content.styled("              ▲ head\n", "$text-muted"),
            cell("1"), cell("2"), "   ", cell("5"), "\n",
            cell("3"), cell("4"), "   ", cell("6"), "\n",
            Content.styled("               tail\n", "$text-muted"),
            cell("7"), cell("8"),
        )  # fmt: skip

    def on_key(self, event: Key) -> None:
        feet = FEET_KEYS.get(event.character or "")
        if feet is not None:
            event.stop()
            self.dismiss(feet)
