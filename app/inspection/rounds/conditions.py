"""What people state: the opening card of a visit, and the condition in which the aircraft is."""

from collections.abc import Mapping

from app.errors import Conflict, UsageError
from app.inspection.base import checked_text, new_id
from app.inspection.model import Person
from app.inspection.ports import Reader
from app.inspection.rounds.common import (
    RoundCases,
    condition_now,
    open_visit,
    require_programme,
    require_worker,
)
from app.inspection.rounds.model import OPENING, Opened, Out, Stated
from app.inspection.rounds.said_once import named
from app.programme import ItemCondition


class Conditions(RoundCases):
    """Statements by a person."""

    def state_opening(self, person: Person, inspection_id: str) -> Stated:
        """State that the opening card was read and holds; each person does so once on a visit."""
        with self._records.begin() as work:
            open_visit(work, inspection_id)
            for there in work.all(Stated, inspection_id=inspection_id, what=OPENING, by=person.id):
                return there
            programme = require_programme(work, inspection_id)
            cautions = (programme.caution(key) for key in programme.opening)
            statements = tuple([one.key, one.text, ""] for one in cautions)
            made = Stated(new_id(), inspection_id, OPENING, statements, person.id, self._clock.now())
            work.enter("opening-stated", person, inspection_id, made)
        return made

    def state_condition(
        self, person: Person, inspection_id: str, what: ItemCondition, told: Mapping[str, str]
    ) -> Stated:
        """State the condition in which the aircraft now is; until the next statement it counts.

        Parameters
        ----------
        told : mapping
            By the statements' keys what is written down with each, empty where nothing is.

        Raises
        ------
        NotAllowed
            A trainee or an administrator states nothing.
        UsageError
            A statement is missing, or what has to be written down with it.
        Conflict
            It is to be swung, and something is opened or not counted in.
        """
        require_worker(person)
        with self._records.begin() as work:
            open_visit(work, inspection_id)
            condition = require_programme(work, inspection_id).condition(what)
            statements = []
            for one in condition.statements:
                if one.key not in told:
                    msg = f"Not stated yet: {one.text} State only what holds."
                    raise UsageError(msg)
                kept = checked_text(told[one.key], one.record.capitalize(), 200) if one.record else ""
                statements.append([one.key, one.text, kept])
            if what is ItemCondition.SWING:
                require_nothing_open(work, inspection_id)
            made = Stated(
                new_id(), inspection_id, what.value, tuple(statements), person.id, self._clock.now()
            )
            work.enter("condition-stated", person, inspection_id, made)
        return made

    def condition(self, inspection_id: str) -> Stated | None:
        """Return the condition that counts now, or None."""
        with self._records.look() as r:
            return condition_now(r, inspection_id)

    def has_opened(self, person: Person, inspection_id: str) -> bool:
        """Return whether the person has stated the opening card of this visit."""
        with self._records.look() as r:
            return bool(r.all(Stated, inspection_id=inspection_id, what=OPENING, by=person.id))


def still_open(r: Reader, inspection_id: str) -> list[str]:
    """Return what is opened or out, in words; empty where all is closed and counted in."""
    opened = [one for one in r.all(Opened, inspection_id=inspection_id) if one.closed_at is None]
    out = [one for one in r.all(Out, inspection_id=inspection_id) if one.back < one.quantity]
    return [f"opened: {one.kind.value.replace('_', ' ')}, {one.place}" for one in opened] + [
        f"out: {one.quantity - one.back} of {one.quantity} {named(one.kind.value, one.name)}" for one in out
    ]


def require_nothing_open(r: Reader, inspection_id: str) -> None:
    """Refuse to go on while something is opened or out.

    Raises
    ------
    Conflict
        Names each.
    """
    left = still_open(r, inspection_id)
    if left:
        msg = f"Not yet: {'; '.join(left)}. Close it and count it in first."
        raise Conflict(msg)
