"""Hand measurements: always possible, signed, and what settles an item that no photo settles."""

import math
from dataclasses import replace
from typing import Any

from app.errors import Conflict, NotAllowed
from app.inspection.base import (
    UseCases,
    checked_length,
    checked_text,
    new_id,
    place_of,
    require_open,
    tries_of,
)
from app.inspection.canonical import canonical, plain, sha256
from app.inspection.model import (
    Confirmation,
    Discrepancy,
    HandReading,
    Inspection,
    Item,
    ItemState,
    LegEntry,
    Outcome,
    Person,
)
from app.inspection.ports import Reader, Work
from app.inspection.rounds.closing import discrepancies_cleared
from app.inspection.rounds.common import (
    is_photo_item,
    programme_item,
    require_condition,
    require_programme,
    round_of,
)
from app.inspection.rules import HandJudged, PhotoReading, Settlement, photo_reading, settle_by_hand
from app.inspection.settling import by_hand, closed, open_discrepancy
from app.inspection.views import Place
from vision.leg import StrutLimits, read_leg
from vision.results import COVERAGE_FACTOR, Limits, Verdict
from vision.verdict import judge


class ByHand(UseCases):
    """What is measured with a rule or gauge at the aircraft."""

    def hand_wanted(self) -> tuple[Item, ...]:
        """Return the items that wait for hand measurements, oldest inspection first."""
        with self._records.look() as r:
            found = r.all(Item, state=ItemState.HAND_WANTED)
            return tuple(sorted(found, key=lambda one: _age(r, one)))

    def hand_measurement(
        self,
        person: Person,
        item_id: str,
        value_mm: float,
        expanded_u_mm: float,
        instrument: str,
        password: str,
    ) -> HandReading:
        """Enter a hand measurement, signed with the person's password for this act.

        On an item that waits for hand measurements it settles the item once enough
        people have measured (`rules`).  On one that waits for a confirmation it
        stands beside the photo reading.  On one that is to do it asks for a second
        person's measurement.

        Raises
        ------
        NotAllowed
            The person is neither mechanic nor inspector, or the password is wrong.
        Conflict
            The item is closed, or the person has measured in this round.
        UsageError
            The length or the instrument is none.
        """
        value, doubt = checked_length(value_mm, expanded_u_mm)
        tool = checked_text(instrument, "The instrument")
        with self._records.look() as r:
            _require_may_measure(r, person, r.get(Item, item_id))
        self._check_signature(person, password)
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            _require_may_measure(work, person, item)
            if item.state is ItemState.TO_DO:
                item = by_hand(item, 2)
            made = HandReading(
                new_id(), item_id, person.id, value, doubt, tool, self._clock.now(), item.hand_round
            )
            place = place_of(work, item)
            work.enter("signed", person, item.inspection_id, data=_signature(made, place))
            rows: list[HandReading | Item | Discrepancy] = [made]
            if item.state is ItemState.HAND_WANTED:
                rows += self._settled(work, person, replace(place, item=item), made)
            work.enter("hand-measured", person, item.inspection_id, *rows)
        return made

    def _settled(
        self, work: Work, person: Person, place: Place, made: HandReading
    ) -> list[Item | Discrepancy]:
        """The item after this measurement, and the discrepancy that it may open."""
        item = place.item
        told = _limits(work, place.leg, item)
        round_ = [*work.all(HandReading, item_id=item.id, round=item.hand_round), made]
        judged = [
            HandJudged(
                one.value_mm,
                one.expanded_u_mm,
                _verdict(one, told),
                self._people.find(one.person_id).is_inspector,
            )
            for one in round_
        ]
        settlement = settle_by_hand(item.hands_wanted, judged, _confirmed_photo(work, item))
        if settlement is Settlement.CLOSED:
            return [closed(work, item), *discrepancies_cleared(work, item)]
        if settlement is Settlement.ANEW:
            return [by_hand(item, 2)]
        if settlement is Settlement.ANOTHER_PERSON:
            return [replace(item, hands_wanted=2)]
        worst = next(one for one, its in zip(round_, judged, strict=True) if its.verdict is Verdict.OUTSIDE)
        limits = told.limits or Limits()
        return [
            replace(item, state=ItemState.DISCREPANCY, hands_wanted=0),
            open_discrepancy(place, person, made.at, worst, limits, None),
        ]


def _age(r: Reader, item: Item) -> tuple[Any, ...]:
    return r.get(Inspection, item.inspection_id).opened_at, r.get(LegEntry, item.leg_id).position


def _require_may_measure(r: Reader, person: Person, item: Item) -> None:
    if not person.is_worker:
        msg = "Hand measurements are entered by a mechanic or an inspector."
        raise NotAllowed(msg)
    require_open(r.get(Inspection, item.inspection_id))
    if not is_photo_item(item):
        msg = "Only a strut's extension is entered here: answer this item in its round."
        raise Conflict(msg)
    if round_of(r, item.inspection_id) is not None:
        require_condition(r, person, item, programme_item(r, require_programme(r, item.inspection_id), item))
    if item.state is ItemState.CLOSED:
        msg = "This strut is closed in this inspection: close the inspection and open a new one."
        raise Conflict(msg)
    same = r.all(HandReading, item_id=item.id, round=item.hand_round, person_id=person.id)
    if same and item.state is not ItemState.TO_DO:
        msg = "You have measured this strut in this round, and that stays: another person has to measure."
        raise Conflict(msg)


def _signature(made: HandReading, place: Place) -> dict[str, Any]:
    record = {
        "what": "hand measurement",
        "inspection": place.inspection.id,
        "aircraft": plain(place.aircraft),
        "leg": {
            "id": place.leg.id,
            "position": place.leg.position,
            "toml_sha256": sha256(place.leg.toml.encode()),
        },
        "item": {"id": place.item.id, "key": place.item.key},
        "hand": plain(made),
    }
    return {"record": record, "signed": sha256(canonical(record)), "authenticated": "password"}


def _confirmed_photo(r: Reader, item: Item) -> PhotoReading | None:
    """The photo reading that was confirmed as within and wants its hand measurement, or None."""
    signed = [
        (one.signed_at, photo_reading(try_.result))
        for try_ in tries_of(r, item.id)
        for one in r.all(Confirmation, try_id=try_.id)
        if one.outcome is Outcome.WITHIN_HAND_WANTED
    ]
    return max(signed, key=lambda one: one[0])[1] if signed else None


def _limits(r: Reader, leg: LegEntry, item: Item) -> StrutLimits:
    """The leg's limits, at the pressure that the last measured try told where the plate states a chart."""
    told: dict[str, Any] = {}
    for one in tries_of(r, item.id):
        if one.result is not None and "pressure_kpa" in one.options:
            told = one.options
    strut = read_leg(leg.toml, leg.position).require_strut()
    return strut.limits(told.get("pressure_kpa"), told.get("pressure_u_kpa"))


def _verdict(made: HandReading, told: StrutLimits) -> Verdict:
    """A hand measurement held against the limits as a photo reading is."""
    guard = math.hypot(made.expanded_u_mm, COVERAGE_FACTOR * told.u_mm)
    return judge(made.value_mm, guard, told.limits) or Verdict.UNDECIDED
