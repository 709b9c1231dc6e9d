"""The FHIR bundle against an independent implementation of the published structures.

The package fhir.resources carries the structures of FHIR R4B, in which Patient, Observation and
ServiceRequest have the elements used here unchanged from R4 (hl7.org/fhir/R4B/diff.html).
"""

from __future__ import annotations

import json
from datetime import date
from typing import Any

import pytest
from fhir.resources.R4B.bundle import Bundle

from fieldlog.cli.demo_day import DemoDay
from fieldlog.core.facts import Fact, FactKind, FootBasis, Reporter
from fieldlog.core.feet import Foot
from fieldlog.core.units import Quantity, Unit
from fieldlog.papers.content import HorseFile, Promise, Subject, VisitNotes
from fieldlog.papers.fhir import bundle, left_out
from tests.papers.conftest import horse_file

DAY = date(2026, 11, 25)


def made(*facts: Fact, promises: tuple[Promise, ...] = ()) -> list[dict[str, Any]]:
    file = HorseFile(Subject("Tilly", "Nora"), (VisitNotes(DAY, facts),), promises)
    data = bundle(file, "Sam Hadley", "gelding")
    Bundle.model_validate_json(json.dumps(data))
    return [e["resource"] for e in data["entry"]]


@pytest.mark.parametrize("key", ["juniper", "bramble", "duke", "storm", "biscuit", "willow"])
def test_every_demo_horse_validates(day: DemoDay, key: str) -> None:
    data = bundle(horse_file(day, key), day.farrier, day.horse(key).sex)
    read = Bundle.model_validate_json(json.dumps(data))
    assert read.entry is not None
    assert len(read.entry) == len(data["entry"]) > 3
    assert len({e["fullUrl"] for e in data["entry"]}) == len(data["entry"])
    assert data == bundle(horse_file(day, key), day.farrier, day.horse(key).sex)


def test_a_wrong_bundle_does_not_validate() -> None:
    """The reader used here does refuse: an Observation needs a status and a code (1..1)."""
    lacking = {"resource": {"resourceType": "Observation", "status": "final"}}
    wrong = {"resourceType": "Bundle", "type": "collection", "entry": [lacking]}
    with pytest.raises(ValueError, match="code"):
        Bundle.model_validate_json(json.dumps(wrong))


def test_the_patient_is_an_animal() -> None:
    """Extension patient-animal: species 1..1, genderStatus 0..1."""
    patient = made()[0]
    (animal,) = patient["extension"]
    parts = {e["url"]: e["valueCodeableConcept"] for e in animal["extension"]}
    assert parts["species"] == {"text": "horse"}
    assert parts["genderStatus"]["coding"][0]["code"] == "neutered"
    assert patient["gender"] == "male"


def test_units_are_ucum() -> None:
    """UCUM: [in_i] for the inch, deg for the degree."""
    toe = Fact(FactKind.MEASUREMENT, "toe_length", (Foot.LF,), FootBasis.SAID,
               quantity=Quantity(3.25, Unit.INCH))  # fmt: skip
    angle = Fact(FactKind.MEASUREMENT, "toe_angle", (Foot.LF,), FootBasis.SAID,
                 quantity=Quantity(50, Unit.DEGREE, high=52))  # fmt: skip
    _, first, second = made(toe, angle)
    assert first["valueQuantity"] == {
        "value": 3.25, "unit": "in", "system": "http://unitsofmeasure.org", "code": "[in_i]",
    }  # fmt: skip
    assert first["bodySite"]["text"] == "left front"
    assert second["valueRange"]["low"]["code"] == "deg"
    assert second["valueRange"]["high"]["value"] == 52


def test_denied_suspected_and_told_are_told_apart() -> None:
    base = {"kind": FactKind.FINDING, "feet": (Foot.LF,), "foot_basis": FootBasis.SAID}
    _, denied, suspected, told = made(
        Fact(code="thrush", negated=True, **base),  # type: ignore[arg-type]
        Fact(code="founder", uncertain=True, **base),  # type: ignore[arg-type]
        Fact(code="lameness", reporter=Reporter.OWNER, **base),  # type: ignore[arg-type]
    )
    assert denied["valueBoolean"] is False
    assert suspected["status"] == "preliminary"
    assert "suspected founder" in suspected["note"][0]["text"]
    assert told["performer"][0]["display"] == "the owner, as told"


def test_only_what_a_vet_was_asked_for_is_a_request() -> None:
    resources = made(
        promises=(
            Promise("radiographs", "vet", date(2026, 12, 23), feet=(Foot.LF,)),
            Promise("look again", "vet", state="dropped"),
            Promise("soak the foot", "owner"),
        )
    )
    requests = [r for r in resources if r["resourceType"] == "ServiceRequest"]
    assert [(r["status"], r["intent"]) for r in requests] == [
        ("active", "proposal"),
        ("revoked", "proposal"),
    ]
    assert requests[0]["occurrenceDateTime"] == "2026-12-23"


def test_what_it_cannot_carry_is_said(day: DemoDay) -> None:
    said = " ".join(left_out(horse_file(day, "bramble")))
    assert "work done" in said
    assert "behaviour" in said
    assert "hash chain" in said
