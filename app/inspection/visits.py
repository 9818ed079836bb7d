"""Aircraft, legs, inspections and their items."""

from dataclasses import replace

from app.errors import Conflict, NotAllowed
from app.inspection.base import UseCases, checked_text, new_id, require_open
from app.inspection.model import (
    STRUT_EXTENSION,
    Aircraft,
    Basis,
    Inspection,
    Item,
    ItemState,
    LegEntry,
    Person,
    Try,
    TryState,
)
from app.inspection.ports import Reader, Work
from app.inspection.rounds.closing import discrepancies_cleared
from app.inspection.rounds.commissioning import check_leg
from app.inspection.rounds.common import round_of
from app.inspection.rounds.following import begin_round, items_of_leg


class Visits(UseCases):
    """One visit to one aircraft."""

    def enter_aircraft(self, registration: str, kind: str, operator: str) -> Aircraft:
        """Enter an aircraft.

        Raises
        ------
        Conflict
            Its registration is there already.
        """
        entered = Aircraft(
            new_id(),
            checked_text(registration, "The registration", 20),
            checked_text(kind, "The aircraft's type"),
            checked_text(operator, "The operator"),
        )
        with self._records.begin() as work:
            if work.all(Aircraft, registration=entered.registration):
                msg = f"{entered.registration} is there already: choose it from the list."
                raise Conflict(msg)
            work.enter("aircraft-entered", None, None, entered)
        return entered

    def enter_leg(self, aircraft_id: str, position: str, toml: str, basis: Basis) -> LegEntry:
        """Enter a leg's data as its LEG.toml.

        Raises
        ------
        LegError
            The data cannot be used, or is that of another aircraft or position.
        Conflict
            The aircraft has a leg at this position already.
        """
        entered = LegEntry(new_id(), aircraft_id, checked_text(position, "The position", 40), toml, basis)
        with self._records.begin() as work:
            aircraft = work.get(Aircraft, aircraft_id)
            check_leg(entered, aircraft)
            if work.all(LegEntry, aircraft_id=aircraft_id, position=entered.position):
                msg = f"{aircraft.registration} has a leg {entered.position!r} already."
                raise Conflict(msg)
            work.enter("leg-entered", None, None, entered)
        return entered

    def aircraft(self) -> tuple[Aircraft, ...]:
        """Return all aircraft by registration."""
        with self._records.look() as r:
            return tuple(sorted(r.all(Aircraft), key=lambda one: one.registration))

    def legs(self, aircraft_id: str) -> tuple[LegEntry, ...]:
        """Return an aircraft's legs by position."""
        with self._records.look() as r:
            return _legs(r, aircraft_id)

    def open_inspection(self, person: Person, aircraft_id: str) -> Inspection:
        """Return the aircraft's open inspection; open one, with an item for each leg, where there is none."""
        with self._records.begin() as work:
            return self._opened(work, person, aircraft_id)

    def inspections(self) -> tuple[Inspection, ...]:
        """Return all inspections, newest first."""
        with self._records.look() as r:
            return tuple(sorted(r.all(Inspection), key=lambda one: one.opened_at, reverse=True))

    def items(self, inspection_id: str) -> tuple[Item, ...]:
        """Return an inspection's items by their legs' positions."""
        with self._records.look() as r:
            found = r.all(Item, inspection_id=inspection_id)
            return tuple(sorted(found, key=lambda one: r.get(LegEntry, one.leg_id).position))

    def close_inspection(self, person: Person, inspection_id: str) -> Inspection:
        """Close an inspection; items that are still to do count as not inspected, and the event names them.

        One that follows a programme is not closed but signed off (`sign_off`).

        Raises
        ------
        Conflict
            It is closed already, something in it waits for a person or for the
            measuring, a discrepancy is open, or a reading was not sent.
        """
        if not person.is_worker:
            msg = "Only a mechanic or an inspector closes an inspection."
            raise NotAllowed(msg)
        with self._records.begin() as work:
            inspection = work.get(Inspection, inspection_id)
            require_open(inspection)
            if round_of(work, inspection_id) is not None:
                msg = "This inspection follows a programme: an authorised signatory signs it off."
                raise Conflict(msg)
            items = work.all(Item, inspection_id=inspection_id)
            for item in items:
                _require_finished(work, item)
            closed = replace(inspection, closed_at=self._clock.now())
            left = sorted(item.id for item in items if item.state is ItemState.TO_DO)
            work.enter("inspection-closed", person, inspection_id, closed, data={"not_inspected": left})
        return closed

    def _opened(self, work: Work, person: Person, aircraft_id: str) -> Inspection:
        """The aircraft's open inspection, with an item for each of its legs."""
        found = work.all(Inspection, aircraft_id=aircraft_id, closed_at=None)
        if found:
            self._add_items(work, person, found[0])
            return found[0]
        aircraft = work.get(Aircraft, aircraft_id)
        inspection = Inspection(new_id(), aircraft.id, person.id, self._clock.now())
        work.enter("inspection-opened", person, inspection.id, inspection)
        begin_round(work, person, inspection, _legs(work, aircraft.id))
        self._add_items(work, person, inspection)
        return inspection

    def _add_items(self, work: Work, person: Person, inspection: Inspection) -> None:
        """A leg may have been entered after the inspection was opened.

        A visit that follows a programme gets an item for each of its items on each
        leg, any other the strut's extension.
        """
        there = {item.leg_id for item in work.all(Item, inspection_id=inspection.id)}
        legs = [leg for leg in _legs(work, inspection.aircraft_id) if leg.id not in there]
        if legs:
            followed = round_of(work, inspection.id)
            items: list[Item] = []
            for leg in legs:
                if followed is None:
                    items.append(Item(new_id(), inspection.id, leg.id, STRUT_EXTENSION, ItemState.TO_DO))
                else:
                    items += items_of_leg(work, followed, leg)
            work.enter("items-added", person, inspection.id, *items)


def _legs(r: Reader, aircraft_id: str) -> tuple[LegEntry, ...]:
    return tuple(sorted(r.all(LegEntry, aircraft_id=aircraft_id), key=lambda one: one.position))


def _require_finished(work: Work, item: Item) -> None:
    waits = {
        ItemState.WAITING: "a reading waits for its confirmation: have it confirmed",
        ItemState.HAND_WANTED: "a hand measurement is wanted: make it",
        ItemState.DISCREPANCY: "a discrepancy is open: it has to be acted on",
    }
    position = work.get(LegEntry, item.leg_id).position
    why = waits.get(item.state)
    if discrepancies_cleared(work, item):
        why = why or "something was done about a discrepancy: it has to be measured again"
    for one in work.all(Try, item_id=item.id):
        if one.state in (TryState.STORED, TryState.MEASURING):
            why = why or "a photo is being measured: wait for its reading"
        if item.state is ItemState.TO_DO and one.state is TryState.READ:
            why = why or "a reading was not sent: send it"
    if why:
        msg = f"The inspection cannot be closed. On the {position} leg {why}."
        raise Conflict(msg)
