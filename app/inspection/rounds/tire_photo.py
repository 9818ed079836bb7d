"""A tire's photo: begun once it may be, entered as its item's answer.

The photo itself goes the way of every try (`app.inspection.tries`, `measuring`).  What it
gave becomes the answer of its item when the mechanic enters it, so it is signed with the
batch.  How the second person reads it stands in `tire_placing`.
"""

import math
from collections.abc import Mapping
from collections.abc import Sequence as Some
from dataclasses import replace
from datetime import datetime
from itertools import combinations
from typing import Any

from app.errors import Conflict, UsageError
from app.inspection.base import new_id, require_mechanic, require_performer, tries_of
from app.inspection.model import Item, Person, Pixel, Try, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.closing import item_faulty
from app.inspection.rounds.common import (
    open_visit,
    programme_item,
    require_condition,
    require_programme,
    wheel_of,
)
from app.inspection.rounds.fault_words import fault_words
from app.inspection.rounds.model import Answer, Finding
from app.inspection.rounds.photo_age import question_of
from app.inspection.rounds.tire_camera import CAMERA, camera_words, kept_camera
from app.inspection.rounds.tire_cold import Cold, cold_words
from app.inspection.rounds.tire_placing import TirePlacing
from app.inspection.rounds.tire_pressure import gauge_words, require_no_work_since
from app.inspection.rounds.tire_rules import (
    TIRE,
    Shown,
    asked_of,
    locks_of,
    require_gauge,
    require_no_photo_under_way,
    require_unanswered,
)
from app.inspection.rounds.tire_wheel import BY_GAUGE, against_good, finding_by

UNDAMAGED = "No damage is seen on the tire and the wheel; they were approached from the front or the rear."
_OWN = {
    Finding.GOOD: "By eye at the wheel, before the photo was read: nothing wrong.",
    Finding.FAULT: "By eye at the wheel, before the photo was read: something is wrong.",
    Finding.UNDECIDED: "By eye at the wheel, before the photo was read: cannot be told.",
}
_READ_AT_LEAST = (TryState.READ, TryState.REFUSED, TryState.SENT, TryState.SETTLED)
_APART_PX = 8.0  # nearer by, a finger meant one place
_QUANTITY = {"deg": "angle", "mm": "length"}


class TirePhotos(TirePlacing):
    """From the cold tire to the second person's placing."""

    def tire_locks(self, item_id: str) -> tuple[str, ...] | None:
        """Return what keeps a tire from being photographed now; None for an item without such a photo."""
        with self._records.look() as r:
            item = r.get(Item, item_id)
            wanted = programme_item(r, require_programme(r, item.inspection_id), item)
            try:
                asked_of(wanted)
            except Conflict:
                return None
            return locks_of(r, item, self._clock.now())

    def tire_tries(self, person: Person, item_id: str) -> tuple[Try, ...]:
        """Return the person's own photos of a tire's item, in time order."""
        with self._records.look() as r:
            return tuple(one for one in tries_of(r, item_id) if one.performer_id == person.id)

    def no_photo_will_do(self, person: Person, item_id: str) -> str:
        """Return why no further photo finds an item good, to who has photographed it; else empty.

        To others it is not told: they may yet be the second person.
        """
        with self._records.look() as r:
            if not any(one.performer_id == person.id for one in tries_of(r, item_id)):
                return ""
            why = against_good(r, r.get(Item, item_id), "")
            return f"{why}: {BY_GAUGE}." if why else ""

    def begin_tire_try(
        self,
        person: Person,
        item_id: str,
        cold: Cold,
        undamaged: bool,
        own: Finding | None,
        camera: Mapping[str, Any] | None = None,
    ) -> Try:
        """Begin a photo of a tire.

        Parameters
        ----------
        cold : Cold
            Why it may be approached.
        undamaged : bool
            The person states that he sees no damage.
        own : Finding or None
            What he sees by eye at the wheel: GOOD, FAULT or UNDECIDED.
        camera : mapping, optional
            The phone's calibration, the contract's CAMERA.json.

        Raises
        ------
        NotAllowed
            The person is no mechanic.
        Conflict
            The tire may not be photographed: it is hot, its gauge reading is missing or too old, something
            stands against the wheel; or the condition is not the item's, or it is answered.
        UsageError
            Something is not told.
        CameraError
            The calibration is none.
        """
        require_mechanic(person)
        told = cold_words(cold)
        if not undamaged:
            msg = "A damaged tire is not photographed from the side: open a discrepancy and stay away."
            raise Conflict(msg)
        kept = None if camera is None else kept_camera(camera)
        return self._begun(person, item_id, told, own, camera=kept, cold=cold)

    def _begun(
        self,
        person: Person,
        item_id: str,
        told: str,
        own: Finding | None,
        shown: Mapping[str, Any] | None = None,
        camera: Mapping[str, Any] | None = None,
        *,
        cold: Cold | None = None,
        carried: Try | None = None,
    ) -> Try:
        """Begin it; `carried` is the try whose photo is taken anew, with what was told before that."""
        require_mechanic(person)
        if own not in _OWN:
            msg = "What you see by eye at the wheel comes before the photo: say it"
            raise UsageError(msg)
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            open_visit(work, item.inspection_id)
            wanted = programme_item(work, require_programme(work, item.inspection_id), item)
            asked = asked_of(wanted)
            require_condition(work, person, item, wanted)
            require_unanswered(work, item)
            now = self._clock.now()
            if carried is not None:
                require_no_work_since(work, item, carried.begun_at)
            locks = locks_of(work, item, now if carried is None else carried.begun_at)
            if locks:
                raise Conflict(locks[0])
            gauge = require_gauge(work, item)
            stated = [told, UNDAMAGED, _gauge_stated(gauge, now, cold, carried), _OWN[own]]
            stated += [f"Shown on the photo: {Shown(name).words}." for name in shown or ()]
            options = {"what": TIRE, "asked": asked, "own": own.value, **(shown or {})}
            if camera is not None:
                stated.append(f"Calibrated camera: {camera_words(camera)}.")
                options[CAMERA] = dict(camera)
            begun = Try(new_id(), item.id, person.id, now, tuple(stated), options)
            work.enter("try-begun", person, item.inspection_id, begun)
        return begun

    def tire_photos_besides(self, person: Person, item_id: str) -> tuple[Try, ...]:
        """Return the person's photos of this very tire that were taken for its other item on this visit."""
        with self._records.look() as r:
            item = r.get(Item, item_id)
            return tuple(_besides(r, person, item))

    def begin_with_photo_of(self, person: Person, item_id: str, other_id: str, own: Finding | None) -> Try:
        """Begin a photo of a tire with the one that was taken for its other item: one look, two questions.

        What was told of the cold tire then counts for both.  The photo itself is given by
        `photo_arrived`, as from the phone.

        Raises
        ------
        Conflict
            The photo is not of this tire and visit; and as `begin_tire_try`.
        """
        with self._records.look() as r:
            found = [one for one in _besides(r, person, r.get(Item, item_id)) if one.id == other_id]
        if not found:
            msg = "That photo is not one of yours of this tire on this visit: take one."
            raise Conflict(msg)
        other = found[0]
        return self._begun(
            person, item_id, other.statements[0], own, camera=other.options.get(CAMERA), carried=other
        )

    def begin_shown(self, person: Person, try_id: str, shown: Shown, points: Some[Pixel]) -> Try:
        """Begin a photo of a tire anew with what the program did not find shown on it by the person.

        The photo itself is given by `photo_of_other`.  What was shown on it before is kept,
        so one thing after the other can be shown.

        Parameters
        ----------
        points : sequence of (x, y)
            Of the upright photo, px; as many as `shown` asks for.

        Raises
        ------
        NotAllowed
            The photo is another person's.
        Conflict
            It is no tire's photo or was not measured; and as `begin_tire_try`.
        UsageError
            There are too few points, or they are no places apart from each other.
        """
        with self._records.look() as r:
            this = r.get(Try, try_id)
            require_performer(person, this)
        if this.options.get("what") != TIRE or this.photo is None or this.state not in _READ_AT_LEAST:
            msg = "Nothing can be shown on this photo yet: wait until it is measured."
            raise Conflict(msg)
        if len(points) < shown.least:
            msg = f"{shown.words}: place all {shown.least} points"
            raise UsageError(msg)
        if not all(math.dist(one, other) >= _APART_PX for one, other in combinations(points, 2)):
            msg = f"{shown.words}: place the points apart from each other, each where its name says"
            raise UsageError(msg)
        told = {name: value for name, value in this.options.items() if name in set(Shown)}
        told[shown.value] = [[float(x), float(y)] for x, y in points]
        own = Finding(this.options["own"])
        camera = this.options.get(CAMERA)
        return self._begun(person, this.item_id, this.statements[0], own, told, camera, carried=this)

    def answer_by_photo(self, person: Person, try_id: str) -> Answer:
        """Enter what a tire's photo gave as the answer of its item; outside opens a discrepancy at once.

        Raises
        ------
        NotAllowed
            The photo is another person's.
        Conflict
            It gave no reading, does not decide, its time is questioned, the tire was worked on since it
            was begun or has no good gauge reading; or the item is answered, or not in its condition.
        """
        with self._records.begin() as work:
            this = work.get(Try, try_id)
            require_performer(person, this)
            item = work.get(Item, this.item_id)
            open_visit(work, item.inspection_id)
            programme = require_programme(work, item.inspection_id)
            wanted = programme_item(work, programme, item)
            asked_of(wanted)
            stated = require_condition(work, person, item, wanted)
            require_unanswered(work, item)
            require_no_photo_under_way(work, item)
            require_no_work_since(work, item, this.begun_at)
            require_gauge(work, item)
            if this.state is not TryState.READ:
                msg = "This photo has no reading that could be entered: wait for it, or begin a new one."
                raise Conflict(msg)
            question = question_of(this)
            if question:
                msg = (
                    f"{question} Say why it shows this tire in the condition stated, or photograph it again."
                )
                raise Conflict(msg)
            finding, now = finding_by(work, this), self._clock.now()
            made = Answer(
                new_id(), item.inspection_id, item.id, person.id, stated.id, finding, "", _reading(this),
                None, None, None, None, None, None, now,
            )  # fmt: skip
            good = finding is Finding.GOOD
            rows: list[Any] = [
                made,
                replace(this, state=TryState.SENT if good else TryState.SETTLED, sent_at=now),
            ]
            if not good:
                words = fault_words("read on its photo", made.reading)
                rows += item_faulty(work, programme, wanted, item, person, words, "", this.photo, now)
            work.enter("answered", person, item.inspection_id, *rows)
        return made


def _gauge_stated(gauge: Answer, now: datetime, cold: Cold | None, carried: Try | None) -> str:
    """The statement of the gauge: of a cold tire only where it was told to be cold when it was read."""
    of_cold = gauge_words(gauge, cold=True)
    if carried is not None:
        return of_cold if of_cold in carried.statements else gauge_words(gauge, cold=False)
    hours = (now - gauge.at).total_seconds() / 3600
    return of_cold if cold is not None and cold.was_cold(hours) else gauge_words(gauge, cold=False)


def _besides(r: Reader, person: Person, item: Item) -> list[Try]:
    wheel, found = wheel_of(r, item), []
    for other in r.all(Item, inspection_id=item.inspection_id, leg_id=item.leg_id):
        if other.id != item.id and wheel_of(r, other) == wheel:
            found += [
                one
                for one in r.all(Try, item_id=other.id, performer_id=person.id)
                if one.options.get("what") == TIRE and one.state in _READ_AT_LEAST
            ]
    return sorted(found, key=lambda one: (one.begun_at, one.id))


def _reading(this: Try) -> dict[str, Any]:
    """What an answer keeps of the photo it stands on."""
    result = this.result or {}
    limits = result.get("limits") or {}
    return {
        "name": result["name"],
        "quantity": _QUANTITY.get(result["unit"], result["unit"]),
        "unit": result["unit"],
        "value": result["value"],
        "expanded_u": result["expanded_uncertainty"],
        "lower": limits.get("lower"),
        "upper": limits.get("upper"),
        "document": limits.get("document") or "",
        "verdict": result["verdict"],
        "try_id": this.id,
        "photo": this.photo,
        "level_from": result.get("level_from"),
    }
