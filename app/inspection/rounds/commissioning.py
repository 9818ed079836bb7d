"""A leg's data changed by two people; records of earlier visits keep the data of their time."""

from dataclasses import replace
from datetime import datetime

from app.errors import Conflict, NotAllowed
from app.inspection.base import checked_text, clean_text, new_id
from app.inspection.model import Aircraft, Basis, LegEntry, Person, Role
from app.inspection.ports import Reader
from app.inspection.rounds.common import RoundCases, require_worker
from app.inspection.rounds.model import LegChange
from vision.errors import LegError
from vision.leg import read_leg

_APPROVE = frozenset({Role.INSPECTOR, Role.AUTHORISED_SIGNATORY})


class Commissioning(RoundCases):
    """Changes of legs' data."""

    def propose_leg_change(
        self, person: Person, leg_id: str, toml: str, basis: Basis, reason: str, study: str = ""
    ) -> LegChange:
        """Propose other data for a leg, to be approved by another person.

        Raises
        ------
        LegError
            The data cannot be used, or is that of another aircraft or position.
        Conflict
            Nothing is changed, or a change of this leg waits already.
        UsageError
            The reason is missing, or the study where photo readings are to stand by themselves.
        """
        require_worker(person)
        why = checked_text(reason, "The reason of the change", 500)
        with self._records.begin() as work:
            leg = work.get(LegEntry, leg_id)
            check_leg(replace(leg, toml=toml), work.get(Aircraft, leg.aircraft_id))
            if (toml, basis) == (leg.toml, leg.basis):
                msg = "This is the data that the leg has: change something, or leave it."
                raise Conflict(msg)
            if any(one.approved_at is None for one in work.all(LegChange, leg_id=leg_id)):
                msg = "A change of this leg waits for its approval: have that one approved first."
                raise Conflict(msg)
            becomes_primary = basis is Basis.PRIMARY and leg.basis is not Basis.PRIMARY
            named = checked_text(study, "The paired study") if becomes_primary else clean_text(study)
            made = LegChange(
                new_id(), leg_id, leg.toml, toml, leg.basis, basis, named, why, person.id, self._clock.now()
            )
            work.enter("leg-change-proposed", person, None, made)
        return made

    def approve_leg_change(self, person: Person, change_id: str, password: str) -> LegChange:
        """Approve a change as another person; from now on the leg has the new data.

        Raises
        ------
        NotAllowed
            The person proposed it, is neither inspector nor signatory, or the password is wrong.
        Conflict
            It was approved already, or the leg's data is no longer what it was changed from.
        """
        with self._records.look() as r:
            _require_may_approve(person, r.get(LegChange, change_id))
        self._check_signature(person, password)
        with self._records.begin() as work:
            found = work.get(LegChange, change_id)
            leg = work.get(LegEntry, found.leg_id)
            if found.approved_at is not None or leg.toml != found.toml_before:
                msg = "This change was approved already, or the leg was changed since: look again."
                raise Conflict(msg)
            made = replace(found, approved_by=person.id, approved_at=self._clock.now())
            changed = replace(leg, toml=found.toml_after, basis=found.basis_after)
            work.enter("leg-change-approved", person, None, changed, made)
        return made

    def leg_changes(self, leg_id: str) -> tuple[LegChange, ...]:
        """Return a leg's changes, newest first."""
        with self._records.look() as r:
            found = r.all(LegChange, leg_id=leg_id)
            return tuple(sorted(found, key=lambda one: one.proposed_at, reverse=True))


def check_leg(entered: LegEntry, aircraft: Aircraft) -> None:
    """Refuse data that cannot be used, or that is another leg's.

    Raises
    ------
    LegError
        Names what is wrong.
    """
    leg = read_leg(entered.toml, entered.position)
    leg.require_strut()
    for what, there, wanted in (
        ("aircraft", leg.aircraft, aircraft.registration),
        ("position", leg.position, entered.position),
    ):
        if there != wanted:
            msg = (
                f"the leg's data says {what} = {there!r} and is entered for {wanted!r}: "
                "enter the data of this very leg"
            )
            raise LegError(msg)


def leg_as_of(r: Reader, leg: LegEntry, at: datetime | None) -> LegEntry:
    """Return a leg with the data that it had at a time; None is now."""
    later = [
        one
        for one in r.all(LegChange, leg_id=leg.id)
        if at is not None and one.approved_at is not None and one.approved_at > at
    ]
    first = min(later, key=lambda one: one.approved_at or one.proposed_at, default=None)
    return leg if first is None else replace(leg, toml=first.toml_before, basis=first.basis_before)


def _require_may_approve(person: Person, change: LegChange) -> None:
    if person.id == change.proposed_by:
        msg = "A leg's data is changed by two people: another one has to approve this."
        raise NotAllowed(msg)
    if not person.roles & _APPROVE:
        msg = "A change of a leg's data is approved by an inspector or an authorised signatory."
        raise NotAllowed(msg)
