"""An action or a deferral as it is about to be signed, with everything that keeps it from being so."""

from collections.abc import Mapping
from collections.abc import Sequence as Some
from dataclasses import dataclass
from datetime import date
from typing import Any

from app.errors import Conflict, UsageError
from app.inspection.base import checked_text, clean_text, place_of
from app.inspection.canonical import plain
from app.inspection.model import Discrepancy, DiscrepancyState, Inspection, Item, LegEntry, Person
from app.inspection.ports import Reader
from app.inspection.rounds.cases import steps_of
from app.inspection.rounds.closing import left_beside
from app.inspection.rounds.common import open_visit, require_programme, title_of
from app.inspection.rounds.model import ActionKind, Sequence, SequenceKind
from app.inspection.rounds.sequences import crack_found, is_through

REMOVED = ("part", "serial", "position", "reason", "tag")
FITTED = ("part", "serial", "release", "batch", "life")


@dataclass(frozen=True)
class Proposed:
    """An action or a deferral as it is about to be signed; `record_hash` binds the signature to it."""

    record: dict[str, Any]
    record_hash: str


def _require_of_aircraft(
    r: Reader, inspection_id: str, discrepancy_id: str
) -> tuple[Inspection, Discrepancy]:
    inspection, found = open_visit(r, inspection_id), r.get(Discrepancy, discrepancy_id)
    if place_of(r, r.get(Item, found.item_id)).aircraft.id != inspection.aircraft_id:
        msg = "This discrepancy is another aircraft's: open it from the list of this visit."
        raise Conflict(msg)
    return inspection, found


def action_record(
    r: Reader,
    person: Person,
    inspection_id: str,
    discrepancy_id: str,
    kind: ActionKind,
    text: str,
    data_reference: str,
    removed: Some[Mapping[str, str]],
    fitted: Some[Mapping[str, str]],
) -> dict[str, Any]:
    """Return an action as it is signed; raises as `Discrepancies.propose_action`."""
    _, found = _require_of_aircraft(r, inspection_id, discrepancy_id)
    if found.state not in (DiscrepancyState.OPEN, DiscrepancyState.DEFERRED):
        msg = "Something was done about this already: its re-inspection decides, then act again if need be."
        raise Conflict(msg)
    for sequence in r.all(Sequence, discrepancy_id=found.id):
        _require_through(r, sequence, kind)
    if kind is ActionKind.REPLACED and not (removed and fitted):
        msg = "A part replaced has papers: enter what was removed and what was fitted"
        raise UsageError(msg)
    reference = clean_text(data_reference)
    if kind is not ActionKind.ENTERED_IN_ERROR:
        reference = checked_text(data_reference, "The approved data by which it was done")
    return {
        "what": "action on a discrepancy",
        "inspection": inspection_id,
        "discrepancy": plain(found),
        "person": {"id": person.id, "name": person.name},
        "kind": kind.value,
        "text": checked_text(text, "What was done", 1000),
        "data_reference": reference,
        "removed": [_part(one, REMOVED, "removed") for one in removed],
        "fitted": [_part(one, FITTED, "fitted") for one in fitted],
    }


def _require_through(r: Reader, sequence: Sequence, kind: ActionKind) -> None:
    steps = steps_of(r, sequence)
    latest = max(r.all(Sequence, discrepancy_id=sequence.discrepancy_id), key=lambda one: one.at)
    if (
        sequence.id == latest.id
        and not is_through(sequence.kind, steps)
        and kind is not ActionKind.ENTERED_IN_ERROR
    ):
        msg = f"A {sequence.kind.value} is worked through step by step first: go on with its next step."
        raise Conflict(msg)
    if sequence.kind is not SequenceKind.CRACK:
        return
    if kind is ActionKind.ENTERED_IN_ERROR:
        msg = "What may be a crack is not an error of entry until the non-destructive inspection says so."
        raise Conflict(msg)
    if crack_found(steps) and kind is not ActionKind.REPLACED:
        msg = "A cracked part of the landing gear is replaced (AC 43.13-1B 9-4g): enter the replacement."
        raise Conflict(msg)


def _part(given: Mapping[str, str], names: Some[str], what: str) -> dict[str, str]:
    may_lack = ("life", "batch", "serial")
    kept = {name: clean_text(given.get(name, ""))[:200] for name in names}
    lacking = [name for name in names if not kept[name] and name not in may_lack]
    if lacking:
        msg = f"A part {what} is told with {', '.join(lacking)} too: complete its entry"
        raise UsageError(msg)
    return kept


def deferral_record(
    r: Reader,
    today: date,
    inspection_id: str,
    discrepancy_id: str,
    reference: str,
    category: str,
    due_on: date | None,
    due_landings: int | None,
    placard: str,
) -> dict[str, Any]:
    """Return a deferral as it is signed; raises as `Discrepancies.defer`."""
    _, found = _require_of_aircraft(r, inspection_id, discrepancy_id)
    if found.state is not DiscrepancyState.OPEN and found.state is not DiscrepancyState.DEFERRED:
        msg = "Something was done about this already: its re-inspection decides."
        raise Conflict(msg)
    if found.state is DiscrepancyState.DEFERRED:
        msg = "It is deferred already, and a deferral is not renewed here: act on it before it is due."
        raise Conflict(msg)
    if any(one.kind is SequenceKind.CRACK for one in r.all(Sequence, discrepancy_id=found.id)):
        msg = "What may be a crack cannot be deferred: it goes to non-destructive inspection."
        raise Conflict(msg)
    if due_on is None and due_landings is None:
        msg = "A deferral ends on a day or at a number of landings: give one of them"
        raise UsageError(msg)
    if due_on is not None and due_on < today:
        msg = f"A deferral until {due_on} would be overdue at once: give a day that lies ahead"
        raise UsageError(msg)
    if due_landings is not None and due_landings <= 0:
        msg = "The landings at which it is due are the aircraft's total then: more than 0"
        raise UsageError(msg)
    leg = r.get(LegEntry, r.get(Item, found.item_id).leg_id)
    again = opened_again(r, inspection_id, found)
    return {
        "what": "deferral of a discrepancy",
        "inspection": inspection_id,
        "discrepancy": plain(found),
        "leg": leg.position,
        "reference": checked_text(reference, "The reference that allows it"),
        "category": checked_text(category, "The category", 40),
        "due_on": None if due_on is None else due_on.isoformat(),
        "due_landings": due_landings,
        "placard": checked_text(placard, "The placard, or the words 'none asked for',"),
        **({"opens_again": again} if again else {}),
    }


def opened_again(r: Reader, inspection_id: str, found: Discrepancy) -> list[str]:
    """Return the titles of a visit's items whose photos are to be judged once a discrepancy is deferred."""
    left = left_beside(r, found, inspection_id)
    # A visit of struts alone follows no programme, and has no searched photos.
    return [title_of(r, require_programme(r, inspection_id), one) for one in left] if left else []
