"""One horse as an HL7 FHIR R4 bundle: an animal Patient, Observations, ServiceRequests.

Codes are plain words: no licensed terminology is copied. Units are UCUM. What a finding was,
whether it was there, and how sure, goes in; what FHIR has no honest place for stays out, and
``left_out`` says so. Sources: hl7.org/fhir/R4 (observation, servicerequest, patient) and the
extension patient-animal (species 1..1, genderStatus 0..1).
"""

from __future__ import annotations

import uuid
from datetime import date
from typing import Any

from fieldlog.core.facts import Fact, FactKind, Reporter
from fieldlog.core.units import UNITS
from fieldlog.language.wording import describe, describe_feet, describe_what, label
from fieldlog.papers.content import HorseFile, Promise

ANIMAL = "http://hl7.org/fhir/StructureDefinition/patient-animal"
GENDER_STATUS = "http://hl7.org/fhir/animal-genderstatus"
UCUM = "http://unitsofmeasure.org"
_SPACE = uuid.UUID("6b2b6c1e-5b6e-4e0f-9a51-8f6d7d3f2a10")
"""Ids are derived from the facts' own, so that the same record gives the same bundle."""

_GENDER = {
    "mare": ("female", ""),
    "filly": ("female", ""),
    "gelding": ("male", "neutered"),
    "stallion": ("male", "intact"),
    "colt": ("male", "intact"),
}
_WHO = {Reporter.OWNER: "the owner, as told", Reporter.VET: "a veterinarian, as told",
        Reporter.OTHER: "somebody else, as told"}  # fmt: skip


def bundle(
    file: HorseFile, farrier: str = "", sex: str = "", since: date | None = None
) -> dict[str, Any]:
    """The bundle as plain data, ready for JSON.

    Args:
        file: the horse and its saved visits.
        farrier: performer of the observations.
        sex: mare, gelding, stallion, colt, filly; others are left out.
        since: leave out visits before this day.
    """
    patient = _patient(file, sex)
    subject = {"reference": patient["fullUrl"], "display": file.subject.horse}
    entries = [patient]
    for visit in file.visits:
        if since is None or visit.day >= since:
            for fact in visit.facts:
                if fact.kind in (FactKind.FINDING, FactKind.MEASUREMENT, FactKind.SCORE):
                    entries.append(_observation(fact, visit.day, subject, farrier))
    for number, promise in enumerate(file.promises):
        if promise.who == "vet":
            entries.append(_request(promise, number, file, subject, farrier))
    return {"resourceType": "Bundle", "type": "collection", "entry": entries}


def _entry(key: str, resource: dict[str, Any]) -> dict[str, Any]:
    own = str(uuid.uuid5(_SPACE, key))
    return {"fullUrl": f"urn:uuid:{own}", "resource": {**resource, "id": own}}


def _patient(file: HorseFile, sex: str) -> dict[str, Any]:
    subject = file.subject
    gender, status = _GENDER.get(sex.strip().lower(), ("", ""))
    animal: list[dict[str, Any]] = [{"url": "species", "valueCodeableConcept": {"text": "horse"}}]
    if status:
        concept = {"coding": [{"system": GENDER_STATUS, "code": status}]}
        animal.append({"url": "genderStatus", "valueCodeableConcept": concept})
    patient: dict[str, Any] = {
        "resourceType": "Patient",
        "extension": [{"url": ANIMAL, "extension": animal}],
        "name": [{"text": subject.horse}],
    }
    identifiers = [
        {"type": {"text": kind}, "value": value}
        for kind, value in (("ISO 11784 microchip", subject.microchip), ("UELN", subject.ueln))
        if value
    ]
    if identifiers:
        patient["identifier"] = identifiers
    if gender:
        patient["gender"] = gender
    if subject.owner:
        owner = {"relationship": [{"text": "owner"}], "name": {"text": subject.owner}}
        patient["contact"] = [owner]
    return _entry(f"patient {subject.horse} {subject.owner} {subject.microchip}", patient)


def _observation(fact: Fact, day: date, subject: dict[str, str], farrier: str) -> dict[str, Any]:
    observation: dict[str, Any] = {
        "resourceType": "Observation",
        "status": "preliminary" if fact.uncertain else "final",
        "code": {"text": label(fact.code)},
        "subject": subject,
        "effectiveDateTime": day.isoformat(),
        "note": [{"text": describe(fact)}],
    }
    performer = _WHO.get(fact.reporter, farrier)
    if performer:
        observation["performer"] = [{"display": performer}]
    where = [describe_feet(fact.feet)] if fact.feet else []
    where += [label(place, "place") for place in fact.places]
    if where:
        observation["bodySite"] = {"text": ", ".join(where)}
    if fact.kind is FactKind.FINDING:
        observation["valueBoolean"] = not fact.negated
        if fact.historical:
            observation["note"].append({"text": "Of an earlier time, as said on this day."})
        if fact.quantity is not None and fact.quantity.high is None:
            size = {"code": {"text": "size"}, "valueQuantity": _quantity(fact)}
            observation["component"] = [size]
    elif fact.quantity is None:
        observation["dataAbsentReason"] = {"text": "not measured"}
    elif fact.quantity.high is not None:
        one = _quantity(fact)
        observation["valueRange"] = {"low": one, "high": {**one, "value": fact.quantity.high}}
    else:
        observation["valueQuantity"] = _quantity(fact)
    if fact.details.get("moment"):
        observation["note"].append({"text": f"{fact.details['moment']} the work of that day"})
    if fact.kind is FactKind.SCORE and fact.details.get("scale"):
        observation["method"] = {"text": f"scale {fact.details['scale']}"}
    return _entry(f"observation {fact.id}", observation)


def _quantity(fact: Fact) -> dict[str, Any]:
    quantity = fact.quantity
    if quantity is None:
        raise ValueError("the fact has no quantity")
    unit = UNITS[quantity.unit]
    shown = unit.symbol or quantity.unit.value
    return {"value": quantity.value, "unit": shown, "system": UCUM, "code": unit.ucum}


def _request(
    promise: Promise, number: int, file: HorseFile, subject: dict[str, str], farrier: str
) -> dict[str, Any]:
    request: dict[str, Any] = {
        "resourceType": "ServiceRequest",
        "status": {"open": "active", "done": "completed"}.get(promise.state, "revoked"),
        "intent": "proposal",
        "code": {"text": promise.what},
        "subject": subject,
        "performerType": {"text": "veterinarian"},
        "note": [{"text": "Asked for by a farrier, who makes no diagnosis."}],
    }
    if promise.due:
        request["occurrenceDateTime"] = promise.due.isoformat()
    if promise.condition:
        request["note"].append({"text": promise.condition})
    if promise.feet:
        request["bodySite"] = [{"text": describe_feet(promise.feet)}]
    if farrier:
        request["requester"] = {"display": farrier}
    return _entry(f"request {number} {promise.what} {file.subject.horse}", request)


def left_out(file: HorseFile) -> list[str]:
    """What the record holds and the bundle does not, one sentence each; empty if nothing."""
    facts = [f for v in file.visits for f in v.facts]
    said = []
    kinds = {
        FactKind.WORK: "work done on the feet",
        FactKind.HANDLING: "behaviour and handling",
        FactKind.ADVICE: "advice given",
        FactKind.NOTE: "notes",
    }
    for kind, words in kinds.items():
        number = sum(f.kind is kind for f in facts)
        if number:
            said.append(f"Left out: {words} ({number}).")
    others = sum(p.who != "vet" for p in file.promises)
    if others:
        said.append(f"Left out: follow-ups that are not a veterinarian's ({others}).")
    compared = [f for f in facts if f.comparison is not None]
    if compared:
        said.append(
            f"Only in words: comparisons, such as “{describe_what(compared[0])}” ({len(compared)})."
        )
    said.append("Left out: the sound, the transcript, corrections and the hash chain.")
    return said
