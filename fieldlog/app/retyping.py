"""What is typed in the place of a fact: a value in digits, or words that are understood anew.

The app and the command line correct with the same functions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from fieldlog.app.choices import as_it_fits
from fieldlog.app.editing import CannotEdit, change, reworded
from fieldlog.core.facts import Fact, FactKind
from fieldlog.core.typed import NoNumber, says_unit, typed_quantity
from fieldlog.core.units import UNITS, Dimension, Quantity
from fieldlog.language.wording import label


def with_value(fact: Fact, text: str) -> Fact | None:
    """``fact`` with the value that ``text`` states in digits; None if it states something else.

    Raises:
        CannotEdit: the digits state no number, or one that this measure cannot have.
    """
    try:
        quantity = typed_quantity(text, fact.quantity)
    except NoNumber as problem:
        raise CannotEdit(f"“{text}” is no number. {problem}") from problem
    if quantity is None or not (fact.quantity or _has_a_size(fact, quantity)):
        return None
    if not says_unit(text):
        fits = as_it_fits(fact.code, quantity)
        if fits is None:
            raise CannotEdit(
                f"{quantity.shown()} cannot be a {label(fact.code)}. If it is right, type its "
                "unit as well."
            )
        quantity = fits
    return change(fact, {"quantity": replace(fact, quantity=quantity).to_dict()["quantity"]})


def _has_a_size(fact: Fact, quantity: Quantity) -> bool:
    """Whether a fact without a value can take this one: a finding or a job has a size in length.

    “6 weeks” typed over a promise is its day, and “53 degrees” over a finding is another fact.
    """
    sized = fact.kind in (FactKind.FINDING, FactKind.WORK)
    return sized and UNITS[quantity.unit].dimension is Dimension.LENGTH


def sentence_for(fact: Fact, text: str) -> str:
    """The sentence to be understood: "in six weeks" alone would not tell what is promised."""
    return f"{label(fact.code)} {text}" if fact.kind is FactKind.FOLLOW_UP else text


def in_its_place(fact: Fact, understood: Sequence[Fact]) -> tuple[Fact, ...]:
    """What was understood from typed words, the first of it in the place of ``fact``."""
    first, *more = understood
    return (reworded(fact, first), *more)


def not_understood(text: str) -> str:
    """What is said when typed words made no fact."""
    return f"“{text}” was not understood. Try the foot and the thing: left front flare."
