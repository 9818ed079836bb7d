"""What the inspector does: queue, own placing, comparison, signature."""

import math
from dataclasses import replace

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.base import UseCases, new_id, place_of, require_inspector, tries_of
from app.inspection.comparing import blind_of, compared, confirmation_of
from app.inspection.model import (
    BlindReading,
    Confirmation,
    Discrepancy,
    Item,
    Outcome,
    Person,
    Pixel,
    Try,
    TryState,
)
from app.inspection.ports import Reader, Work
from app.inspection.rounds.closing import discrepancies_cleared, involved_in
from app.inspection.rounds.common import (
    is_photo_item,
    programme_item,
    require_programme,
    require_strut,
    round_of,
)
from app.inspection.rounds.crew import require_may_look
from app.inspection.rounds.sight import knows_reading
from app.inspection.rules import photo_reading
from app.inspection.settling import moved_by, open_discrepancy
from app.inspection.views import Bare, Comparison, Waiting


class Confirming(UseCases):
    """A second person's own reading, judgement and signature."""

    def queue(self, person: Person) -> tuple[Waiting, ...]:
        """Return what this inspector may confirm, oldest first, whatever was read.

        Raises
        ------
        NotAllowed
            The person is no inspector.
        """
        require_inspector(person)
        with self._records.look() as r:
            waiting = [
                Waiting(
                    one.id,
                    place_of(r, r.get(Item, one.item_id)),
                    self._people.find(one.performer_id),
                    one.sent_at,
                )
                for one in r.all(Try, state=TryState.SENT)
                if one.sent_at is not None
                and is_photo_item(r.get(Item, one.item_id))
                and not knows_reading(person, tries_of(r, one.item_id))
            ]
        return tuple(sorted(waiting, key=lambda one: (one.sent_at, one.try_id)))

    def bare(self, person: Person, try_id: str) -> Bare:
        """Return the photo's name and the leg, for the inspector to place his points.

        Raises
        ------
        NotAllowed
            The person is no inspector, or took a photo of this item.
        Conflict
            The try does not wait for a confirmation.
        """
        with self._records.look() as r:
            asked = r.get(Try, try_id)
            self._require_may_confirm(r, person, asked)
            return Bare(
                asked.id,
                asked.photo or "",
                place_of(r, r.get(Item, asked.item_id)),
                self._people.find(asked.performer_id),
                asked.statements,
                blind_of(r, asked, person.id),
            )

    def place(self, person: Person, try_id: str, from_px: Pixel, to_px: Pixel) -> BlindReading:
        """Enter what the inspector placed on the bare photo; one for each person and try, final.

        Raises
        ------
        NotAllowed, Conflict
            As `bare`; Conflict also where the person has placed already.
        UsageError
            A point is not two finite numbers.
        GearwitnessError
            The points cannot be the two ends on this photo.
        """
        start, end = _pixel(from_px), _pixel(to_px)
        with self._records.look() as r:
            asked = r.get(Try, try_id)
            self._require_may_place(r, person, asked)
        value, doubt, apart = self._measurer.length_at(asked.result or {}, start, end)
        placed = BlindReading(
            new_id(),
            try_id,
            person.id,
            start,
            end,
            float(value),
            float(doubt),
            float(apart),
            self._clock.now(),
        )
        with self._records.begin() as work:
            self._require_may_place(work, person, work.get(Try, try_id))
            item = work.get(Item, asked.item_id)
            work.enter("placed", person, item.inspection_id, placed)
        return placed

    def comparison(self, person: Person, try_id: str) -> Comparison:
        """Return all readings of a try side by side.

        An inspector sees it beside his own placing, the performer without one, and
        everybody sees a settled try beside the placing that confirmed it.

        Raises
        ------
        NotAllowed
            The person has not placed his own points on this photo.
        """
        with self._records.look() as r:
            asked = r.get(Try, try_id)
            signed = confirmation_of(r, asked)
            if signed is not None:
                return compared(r, self._people, asked, r.get(BlindReading, signed.blind_reading_id))
            mine = blind_of(r, asked, person.id)
            if mine is None and asked.state is not TryState.SETTLED and asked.performer_id != person.id:
                raise _no_blind_reading()
            return compared(r, self._people, asked, mine)

    def confirm(self, person: Person, try_id: str, password: str, seen: str) -> Confirmation:
        """Sign the comparison that was shown, and let follow what follows from it.

        Parameters
        ----------
        password : str
            The person's, typed for this act.
        seen : str
            `Comparison.record_hash` of what was on the screen.

        Raises
        ------
        NotAllowed
            The person is no inspector, took a photo of this item, has placed nothing,
            or the password is wrong.
        Conflict
            Somebody else confirmed it first, or the readings have changed since `seen`.
        """
        with self._records.look() as r:
            self._require_may_sign(r, person, r.get(Try, try_id))
        # Hashing a password takes long on purpose: not while others wait to write.
        self._check_signature(person, password)
        with self._records.begin() as work:
            asked = work.get(Try, try_id)
            blind = self._require_may_sign(work, person, asked)
            shown = compared(work, self._people, asked, blind)
            if seen != shown.record_hash:
                msg = "The readings have changed since you looked, so nothing was signed: look again."
                raise Conflict(msg)
            return self._signed(work, person, shown, blind)

    def _signed(self, work: Work, person: Person, shown: Comparison, blind: BlindReading) -> Confirmation:
        item, outcome, record_hash = shown.place.item, shown.outcome, shown.record_hash
        photo = photo_reading(shown.try_.result)
        # A sent try has a reading, and beside a placing all of these follow from it.
        assert photo is not None
        assert outcome is not None
        assert record_hash is not None
        assert shown.difference_mm is not None
        assert shown.combined_u_mm is not None
        signature = {"record": shown.record, "signed": record_hash, "authenticated": "password"}
        event_hash = work.enter("signed", person, item.inspection_id, data=signature)
        confirmation = Confirmation(
            id=new_id(),
            try_id=shown.try_.id,
            confirmer_id=person.id,
            performer_id=shown.try_.performer_id,
            blind_reading_id=blind.id,
            agrees=bool(shown.agrees),
            difference_mm=shown.difference_mm,
            combined_u_mm=shown.combined_u_mm,
            outcome=outcome,
            signed_at=self._clock.now(),
            signed_hash=record_hash,
            event_hash=event_hash,
        )
        rows: list[Try | Item | Confirmation | Discrepancy] = [
            confirmation,
            replace(shown.try_, state=TryState.SETTLED),
            moved_by(work, item, outcome),
        ]
        if outcome is Outcome.WITHIN_CLOSED:
            rows += discrepancies_cleared(work, item)
        if outcome is Outcome.OUTSIDE_DISCREPANCY:
            rows.append(
                open_discrepancy(shown.place, person, confirmation.signed_at, photo, photo.limits, shown.try_)
            )
        work.enter("confirmed", person, item.inspection_id, *rows)
        return confirmation

    def _require_may_confirm(self, r: Reader, person: Person, asked: Try) -> None:
        require_inspector(person)
        if asked.performer_id == person.id:
            msg = "Nobody confirms his own work: another inspector has to confirm this reading."
            raise NotAllowed(msg)
        if knows_reading(person, tries_of(r, asked.item_id)):
            msg = (
                "You photographed this strut yourself and know its reading: another inspector has to confirm."
            )
            raise NotAllowed(msg)
        item = r.get(Item, asked.item_id)
        require_strut(item)
        if round_of(r, item.inspection_id) is not None:
            wanted = programme_item(r, require_programme(r, item.inspection_id), item)
            require_may_look(r, person, wanted, involved_in(r, item), self._clock.now().date())
        signed = confirmation_of(r, asked)
        if signed is not None:
            who = self._people.find(signed.confirmer_id).name
            when = signed.signed_at.strftime("%Y-%m-%d %H:%M UTC")
            msg = f"{who} confirmed this reading at {when}, so nothing is left to sign: go on with the queue."
            raise Conflict(msg)
        if asked.state is not TryState.SENT:
            msg = "This try does not wait for a confirmation: choose one from the queue."
            raise Conflict(msg)

    def _require_may_place(self, r: Reader, person: Person, asked: Try) -> None:
        self._require_may_confirm(r, person, asked)
        if blind_of(r, asked, person.id) is not None:
            msg = "You have placed your points on this photo, and they stay: go on to the comparison."
            raise Conflict(msg)

    def _require_may_sign(self, r: Reader, person: Person, asked: Try) -> BlindReading:
        self._require_may_confirm(r, person, asked)
        blind = blind_of(r, asked, person.id)
        if blind is None:
            raise _no_blind_reading()
        return blind


def _no_blind_reading() -> NotAllowed:
    return NotAllowed("Read the photo yourself first: place both points on it, then the readings are shown.")


def _pixel(given: Pixel) -> Pixel:
    try:
        x, y = map(float, given)
    except (TypeError, ValueError):
        x = y = math.nan
    if not (math.isfinite(x) and math.isfinite(y)):
        msg = f"A point is two numbers, x and y in pixels of the photo, not {given!r}: place it again."
        raise UsageError(msg)
    return x, y
