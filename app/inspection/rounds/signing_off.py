"""Sign-off: the whole record shown, its gaps named, signed by an authorised signatory, and closed."""

from dataclasses import dataclass, replace
from typing import Any

from app.errors import Conflict, NotAllowed
from app.inspection.base import new_id
from app.inspection.canonical import canonical, sha256
from app.inspection.model import Inspection, Person
from app.inspection.ports import Reader
from app.inspection.rounds.common import RoundCases, open_visit
from app.inspection.rounds.crew import require_signatory
from app.inspection.rounds.gaps import Gap, gaps_of
from app.inspection.rounds.model import Action, Answer, Meaning, SignOff
from app.inspection.rounds.record import record_of
from app.inspection.rounds.record_sight import RecordSight
from app.inspection.rounds.times import Times, check_times


@dataclass(frozen=True)
class Whole:
    """A visit as it would be signed off: what is missing, the record, and its hash."""

    gaps: tuple[Gap, ...]
    record: dict[str, Any]
    record_hash: str


class SigningOff(RoundCases):
    """The end of a visit."""

    def gaps(self, inspection_id: str, landings: int | None = None) -> tuple[Gap, ...]:
        """Return everything that is missing before the sign-off."""
        with self._records.look() as r:
            return gaps_of(r, r.get(Inspection, inspection_id), self._today(), landings)

    def whole(self, inspection_id: str, times: Times) -> Whole:
        """Return the visit as it would be signed off with these times."""
        check_times(times)
        with self._records.look() as r:
            return _whole(self, r, inspection_id, times)

    def sign_off(self, person: Person, inspection_id: str, times: Times, password: str, seen: str) -> SignOff:
        """Sign the work record and close the visit.

        It is a record of work; the statement that the aircraft may return to service
        is made by the authorised signer in the log, not here.

        Raises
        ------
        NotAllowed
            The person is no authorised signatory today, has no certificate entered, did
            work on this visit, or the password is wrong.
        Conflict
            Something is missing (each gap is named), the record has changed since it was
            shown, or the visit is closed.
        UsageError
            A time is none.
        """
        check_times(times)
        with self._records.look() as r:
            self._require_may_sign_off(r, person, inspection_id)
        self._check_signature(person, password)
        with self._records.begin() as work:
            inspection = open_visit(work, inspection_id)
            self._require_may_sign_off(work, person, inspection_id)
            whole = _whole(self, work, inspection_id, times)
            if whole.gaps:
                first = "; ".join(f"{one.where}: {one.what}" for one in whole.gaps[:5])
                more = f"; and {len(whole.gaps) - 5} more" if len(whole.gaps) > 5 else ""
                msg = f"Not complete, so nothing was signed: {first}{more}."
                raise Conflict(msg)
            if whole.record_hash != seen:
                msg = "The record has changed since you looked, so nothing was signed: look again."
                raise Conflict(msg)
            signed = self._sign(work, person, inspection_id, Meaning.SIGN_OFF, whole.record)
            now = self._clock.now()
            made = SignOff(
                new_id(),
                inspection_id,
                person.id,
                times.total_time_h,
                times.cycles,
                times.landings,
                signed.id,
                now,
            )
            work.enter("signed-off", person, inspection_id, made, replace(inspection, closed_at=now))
        return made

    def record(self, inspection_id: str, person: Person | None = None) -> dict[str, Any]:
        """Return everything that the record of a visit must hold, as plain JSON, at any time.

        Parameters
        ----------
        person : Person, optional
            Who reads it.  Of an open visit he is not told what he may yet have to find himself; where it
            is not known who reads it, nobody is (`RecordSight`).
        """
        with self._records.look() as r:
            visit = r.get(Inspection, inspection_id)
            return record_of(r, self._people, RecordSight(r, visit, person, self._today()))

    def _require_may_sign_off(self, r: Reader, person: Person, inspection_id: str) -> None:
        require_signatory(r, person, self._today())
        did = {one.person_id for one in r.all(Answer, inspection_id=inspection_id)}
        did |= {one.person_id for one in r.all(Action, inspection_id=inspection_id)}
        if person.id in did:
            msg = "Nobody signs off his own work: another authorised signatory has to."
            raise NotAllowed(msg)


def _whole(cases: RoundCases, r: Reader, inspection_id: str, times: Times) -> Whole:
    inspection = r.get(Inspection, inspection_id)
    record = {
        **record_of(r, cases._people, RecordSight(r, inspection, None, cases._today(), whole=True)),
        "times": {"total_time_h": times.total_time_h, "cycles": times.cycles, "landings": times.landings},
    }
    gaps = gaps_of(r, inspection, cases._today(), times.landings)
    return Whole(gaps, record, sha256(canonical(record)))
