"""Instruments, charts and cards: entered, withdrawn, and refused when their day has passed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import pairwise

from app.errors import NotAllowed, UsageError
from app.inspection.base import checked_text, clean_text, new_id
from app.inspection.model import Aircraft, Person
from app.inspection.ports import Reader
from app.inspection.rounds.common import RoundCases, require_keeper
from app.inspection.rounds.model import Answer, CardCopy, Chart, Instrument
from app.inspection.rounds.quantities import UNITS, to_base


@dataclass(frozen=True)
class LastRead:
    """What a person last read a quantity with: the instrument's id and the unit, empty where not known."""

    instrument_id: str = ""
    unit: str = ""


class Tools(RoundCases):
    """What is measured with."""

    def enter_instrument(
        self, person: Person, kind: str, number: str, quantity: str, unit: str, expanded_u: float, due: date
    ) -> Instrument:
        """Enter an instrument, or, under a number that is there, its new calibration.

        Parameters
        ----------
        expanded_u : float
            Half-width of the 95 % interval of its readings, in `unit`.

        Raises
        ------
        UsageError
            The quantity is not known, or the doubt is none.
        """
        require_keeper(person)
        if quantity not in UNITS:
            msg = f"{quantity!r} is not known: choose one of {', '.join(UNITS)}"
            raise UsageError(msg)
        doubt = to_base(quantity, unit, expanded_u, difference=True)
        if doubt <= 0:
            msg = "Every instrument has a doubt: give its ± (95 %), more than 0"
            raise UsageError(msg)
        made = Instrument(
            new_id(),
            checked_text(kind, "The instrument", 80),
            checked_text(number, "Its number", 40),
            quantity,
            doubt,
            due,
            person.id,
            self._clock.now(),
        )
        with self._records.begin() as work:
            for there in work.all(Instrument, number=made.number):
                made = replace(made, id=there.id)
            work.enter("instrument-entered", person, None, made)
        return made

    def withdraw_instrument(self, person: Person, instrument_id: str, why: str) -> Instrument:
        """Take an instrument out of use, e.g. because it was dropped; anybody may."""
        with self._records.begin() as work:
            found = work.get(Instrument, instrument_id)
            made = replace(found, withdrawn=checked_text(why, "Why it is withdrawn"))
            work.enter("instrument-withdrawn", person, None, made)
        return made

    def instruments(self) -> tuple[Instrument, ...]:
        """Return all instruments by number."""
        with self._records.look() as r:
            return tuple(sorted(r.all(Instrument), key=lambda one: one.number))

    def read_with(self, person: Person, quantity: str) -> LastRead:
        """Return what this person last read the quantity with; an instrument that may not be used is none."""
        with self._records.look() as r:
            newest: Answer | None = None
            usable = set()
            for tool in r.all(Instrument, quantity=quantity):
                if not tool.withdrawn and tool.due >= self._today():
                    usable.add(tool.id)
                for one in r.all(Answer, instrument_id=tool.id, person_id=person.id):
                    if newest is None or one.at > newest.at:
                        newest = one
        if newest is None or newest.reading is None:
            return LastRead()
        tool_id = newest.instrument_id or ""
        return LastRead(tool_id if tool_id in usable else "", newest.reading["as_read"]["unit"])

    def enter_tension_limits(
        self, person: Person, aircraft_id: str, cable: str, rows: Sequence[Sequence[float]], document: str
    ) -> Chart:
        """Enter an aircraft's tension table for a cable: [temperature °C, lower N, upper N], rising.

        Raises
        ------
        UsageError
            The rows are no such table.
        """
        require_keeper(person)
        _check_rows(rows, 3)
        if any(row[1] > row[2] for row in rows):
            msg = "A lower tension is above its upper one: type the table as the document has it"
            raise UsageError(msg)
        with self._records.begin() as work:
            work.get(Aircraft, aircraft_id)
            made = self._chart(person, aircraft_id, None, cable, rows, document)
            work.enter("chart-entered", person, None, made)
        return made

    def enter_riser(
        self, person: Person, instrument_id: str, name: str, rows: Sequence[Sequence[float]], document: str
    ) -> Chart:
        """Enter a tensiometer's table for a riser and cable size: [scale, tension N], rising.

        Raises
        ------
        UsageError
            The rows are no such table.
        """
        require_keeper(person)
        _check_rows(rows, 2)
        with self._records.begin() as work:
            work.get(Instrument, instrument_id)
            made = self._chart(person, None, instrument_id, name, rows, document)
            work.enter("chart-entered", person, None, made)
        return made

    def charts(self) -> tuple[Chart, ...]:
        """Return all charts by name."""
        with self._records.look() as r:
            return tuple(sorted(r.all(Chart), key=lambda one: one.name))

    def enter_card(
        self, person: Person, name: str, number: str, bars_mm: Sequence[float], rule: str, due: date
    ) -> CardCopy:
        """Enter a printed card, or, under a number that is there, its check bars measured anew.

        Raises
        ------
        UsageError
            The bars are no lengths.
        """
        require_keeper(person)
        bars = tuple(map(float, bars_mm))
        if not bars or len(bars) > 2 or not all(math.isfinite(one) and one > 0 for one in bars):
            msg = "A card's check bars are one or two lengths in mm, as the rule reads them"
            raise UsageError(msg)
        made = CardCopy(
            new_id(),
            checked_text(name, "The card", 80),
            checked_text(number, "The copy's number", 40),
            bars,
            checked_text(rule, "The rule that measured the bars, with its number"),
            due,
            person.id,
            self._clock.now(),
        )
        with self._records.begin() as work:
            for there in work.all(CardCopy, number=made.number):
                made = replace(made, id=there.id)
            work.enter("card-entered", person, None, made)
        return made

    def damage_card(self, person: Person, card_id: str, why: str) -> CardCopy:
        """Take a card out of use; anybody may."""
        with self._records.begin() as work:
            made = replace(work.get(CardCopy, card_id), damage=checked_text(why, "The damage"))
            work.enter("card-damaged", person, None, made)
        return made

    def cards(self) -> tuple[CardCopy, ...]:
        """Return all cards by number."""
        with self._records.look() as r:
            return tuple(sorted(r.all(CardCopy), key=lambda one: one.number))

    def _chart(
        self,
        person: Person,
        aircraft_id: str | None,
        instrument_id: str | None,
        name: str,
        rows: Sequence[Sequence[float]],
        document: str,
    ) -> Chart:
        return Chart(
            new_id(),
            aircraft_id,
            instrument_id,
            checked_text(name, "The chart's name", 80),
            tuple([float(one) for one in row] for row in rows),
            checked_text(document, "The chart's document and revision"),
            person.id,
            self._clock.now(),
        )


def usable_card(r: Reader, number: str, today: date) -> CardCopy:
    """Return the card with this number, if it may be used today.

    Raises
    ------
    NotAllowed
        It is unknown, damaged or overdue.
    """
    found = next(iter(r.all(CardCopy, number=clean_text(number))), None)
    if found is None:
        msg = f"There is no card {number[:40]!r}: choose one that is entered, with its check bars."
        raise NotAllowed(msg)
    if found.damage:
        msg = f"Card {found.number} is damaged ({found.damage}): use another."
        raise NotAllowed(msg)
    if found.due < today:
        msg = f"Card {found.number} was due on {found.due}: measure its check bars anew, or use another."
        raise NotAllowed(msg)
    return found


def _check_rows(rows: Sequence[Sequence[float]], columns: int) -> None:
    fits = len(rows) >= 2 and all(len(row) == columns and all(map(math.isfinite, row)) for row in rows)
    if not fits or any(one[0] >= other[0] for one, other in pairwise(rows)):
        msg = f"The table needs two rows or more of {columns} numbers, rising in the first: type it again"
        raise UsageError(msg)
