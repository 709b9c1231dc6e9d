"""A sheet over a screen that ends with one typed answer, or with None."""

from __future__ import annotations

from typing import ClassVar, Generic, TypeVar

from textual.binding import BindingType
from textual.screen import ModalScreen

T = TypeVar("T")


class Sheet(ModalScreen["T | None"], Generic[T]):
    """Esc always closes it and changes nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [("escape", "close", "close")]

    def action_close(self) -> None:
        """Leave everything as it is."""
        self.dismiss(None)
