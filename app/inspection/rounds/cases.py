"""A discrepancy with everything that belongs to it, as a visit sees it; whether a deferral has run out."""

from dataclasses import dataclass
from datetime import date

from app.inspection.base import place_of
from app.inspection.model import Discrepancy, DiscrepancyState, Inspection, Item
from app.inspection.ports import Reader
from app.inspection.rounds.model import Action, Deferral, Sequence, Step
from app.inspection.views import Place


@dataclass(frozen=True)
class Case:
    """A discrepancy with everything that belongs to it; `carried` where it is of an earlier visit."""

    discrepancy: Discrepancy
    place: Place
    carried: bool
    actions: tuple[Action, ...]
    deferral: Deferral | None
    sequence: Sequence | None
    steps: tuple[Step, ...]


def cases_of(r: Reader, inspection: Inspection) -> tuple[Case, ...]:
    """Return the aircraft's discrepancies not cleared, and those of this visit, carried ones first."""
    left = (one for one in DiscrepancyState if one is not DiscrepancyState.CLEARED)
    found = {one.id: one for state in left for one in r.all(Discrepancy, state=state)}
    # What is cleared by now was acted on; what outlived this visit was deferred in it.
    done = {one.discrepancy_id for one in r.all(Action, inspection_id=inspection.id)}
    done |= {one.discrepancy_id for one in r.all(Deferral, inspection_id=inspection.id)}
    found |= {id_: r.get(Discrepancy, id_) for id_ in done}
    cases = []
    for one in found.values():
        visit = r.get(Inspection, r.get(Item, one.item_id).inspection_id)
        if visit.aircraft_id == inspection.aircraft_id and visit.opened_at <= inspection.opened_at:
            cases.append(case_of(r, inspection, one))
    return tuple(
        sorted(cases, key=lambda one: (not one.carried, one.discrepancy.opened_at, one.discrepancy.id))
    )


def case_of(r: Reader, inspection: Inspection, one: Discrepancy) -> Case:
    """Return one discrepancy as this visit sees it."""
    place = place_of(r, r.get(Item, one.item_id))
    sequence = max(r.all(Sequence, discrepancy_id=one.id), key=lambda it: it.at, default=None)
    return Case(
        one,
        place,
        place.inspection.id != inspection.id,
        tuple(sorted(r.all(Action, discrepancy_id=one.id), key=lambda it: it.at)),
        max(r.all(Deferral, discrepancy_id=one.id), key=lambda it: it.at, default=None),
        sequence,
        () if sequence is None else steps_of(r, sequence),
    )


def steps_of(r: Reader, sequence: Sequence) -> tuple[Step, ...]:
    """Return a sequence's steps in order."""
    return tuple(sorted(r.all(Step, sequence_id=sequence.id), key=lambda one: one.number))


def is_overdue(deferral: Deferral, today: date, landings: int | None = None) -> bool:
    """Return whether a deferral has run out: its day has passed, or its landings are reached."""
    by_day = deferral.due_on is not None and today > deferral.due_on
    by_landings = (
        deferral.due_landings is not None and landings is not None and landings >= deferral.due_landings
    )
    return by_day or by_landings
