"""Copies of facts with some fields changed."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, fields, replace
from typing import Any

import pytest

from fieldlog.core.changed import changed
from fieldlog.core.facts import Doubt, Fact, FactKind, Severity
from fieldlog.core.feet import Foot

FACT = Fact(FactKind.FINDING, "thrush", feet=(Foot.LF,), details={"extent": "wide"}, span=(3, 9))
OTHER = Fact(
    FactKind.WORK, "trim", feet=(Foot.RH,), severity=Severity.MILD, negated=True, span=(1, 2),
    doubts=(Doubt("out_of_range", "Too long."),), why_foot="It was named.", confidence=0.5,
)  # fmt: skip


@pytest.mark.parametrize("name", [field.name for field in fields(Fact)])
def test_it_makes_what_the_standard_librarys_replace_makes(name: str) -> None:
    """Source: dataclasses.replace, Python's standard library."""
    new: dict[str, Any] = {name: getattr(OTHER, name)}
    before = FACT.to_dict()
    assert changed(FACT, **new) == replace(FACT, **new)
    assert FACT.to_dict() == before


def test_a_copy_is_as_frozen_as_what_it_is_made_of() -> None:
    copy = changed(FACT, code="canker")
    with pytest.raises(FrozenInstanceError):
        copy.code = "thrush"  # type: ignore[misc]


def test_a_change_of_no_field_is_refused() -> None:
    wrong: dict[str, Any] = {"colour": "grey", "code": "canker"}
    with pytest.raises(TypeError, match="Fact has no colour"):
        changed(FACT, **wrong)
