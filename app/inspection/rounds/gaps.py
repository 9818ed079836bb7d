"""What is missing before an inspection can be signed off: every gap by its place and its words.

=====================================  ==========================================
gap                                    closed by
=====================================  ==========================================
an item to do                          its answer
an answer not signed, or supervised    the signature
an item that waits                     its second look, or its confirmation
hand measurements wanted               the measurements
a reading not sent, a photo measured   sending it, waiting
a discrepancy open                     action, or deferral
an action not looked at again          its re-inspection
a deferral overdue                     action
something opened, or out               closing it, counting it in
a tire read on its photo, without a    the tire's gauge reading
good cold gauge reading
a tire read good on its photo, and     the correction by gauge
not so on another of that wheel
nothing shown on a photo, photos       showing it; marking, judging, hands, entering
searched and not entered, also those
left beside a fault that is deferred
a handover not taken                   the taker's signature
no condition stated at the end, or     stating how the aircraft was left: restored,
one that it must not be left in        or on its wheels
=====================================  ==========================================
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from app.inspection.model import (
    DiscrepancyState,
    Inspection,
    Item,
    ItemState,
    LegEntry,
    Try,
    TryState,
)
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer, is_signed
from app.inspection.rounds.cases import Case, cases_of, is_overdue
from app.inspection.rounds.closing import photos_passed_by
from app.inspection.rounds.common import base_key, condition_now, is_photo_item, require_programme, title_of
from app.inspection.rounds.conditions import still_open
from app.inspection.rounds.handover import pending
from app.inspection.rounds.model import Answer, Finding
from app.inspection.rounds.search_kinds import kind_of
from app.inspection.rounds.search_rules import awaits_points, is_search_photo
from app.inspection.rounds.tire_pressure import LACKING, lacks_pressure
from app.inspection.rounds.tire_wheel import undone
from app.programme import ItemCondition


@dataclass(frozen=True)
class Gap:
    """One thing that is missing: where, what, and, where it is an item's, its id."""

    where: str
    what: str
    item_id: str = ""


_WAITS = {
    ItemState.WAITING: "waits for its second look",
    ItemState.HAND_WANTED: "hand measurements are wanted",
}


def gaps_of(r: Reader, inspection: Inspection, today: date, landings: int | None = None) -> tuple[Gap, ...]:
    """Return everything that is missing, in the order of the walk-round; empty where it can be signed off.

    Parameters
    ----------
    landings : int or None
        The aircraft's total, against which deferrals until landings are held.
    """
    cases = cases_of(r, inspection)
    return tuple(
        [*_items(r, inspection, cases), *_cases(r, inspection, cases, today, landings), *_rest(r, inspection)]
    )


def _items(r: Reader, inspection: Inspection, cases: tuple[Case, ...]) -> Iterator[Gap]:
    programme = require_programme(r, inspection.id)
    order = {one.key: number for number, one in enumerate(programme.items)}
    legs = {one.id: one.position for one in r.all(LegEntry, aircraft_id=inspection.aircraft_id)}
    items = r.all(Item, inspection_id=inspection.id)
    for item in sorted(
        items, key=lambda one: (legs[one.leg_id], order.get(base_key(one.key), len(order)), one.key)
    ):
        why = _why(r, item)
        if why:
            yield Gap(legs[item.leg_id], f"{title_of(r, programme, item)}: {why}", item.id)


def _why(r: Reader, item: Item) -> str:
    tries = r.all(Try, item_id=item.id)
    states = {one.state for one in tries}
    if states & {TryState.STORED, TryState.MEASURING}:
        waits = next((one for one in map(kind_of, filter(awaits_points, tries)) if one is not None), None)
        return "a photo is being measured" if waits is None else waits.not_told
    if TryState.READ in states and item.state is ItemState.TO_DO and is_photo_item(item):
        return "a reading was not sent"
    if item.state is ItemState.TO_DO:
        answer = current_answer(r, item.id)
        return _why_not_answered(tries) if answer is None else _why_not_signed(answer)
    if item.state in (ItemState.DISCREPANCY, ItemState.CLOSED):
        return _why_not_done(r, item)
    return _WAITS.get(item.state, "")


def _why_not_answered(tries: tuple[Try, ...]) -> str:
    searched = any(is_search_photo(one) and one.state is TryState.READ for one in tries)
    return "searched on photos, and what was judged is not entered" if searched else "not inspected"


def _why_not_signed(answer: Answer) -> str:
    return "answered, and not signed by its supervisor" if answer.signature_id else "answered and not signed"


def _why_not_done(r: Reader, item: Item) -> str:
    answer = current_answer(r, item.id)
    if answer is not None and not is_signed(answer):
        return "what was found is not signed"
    if photos_passed_by(r, item):
        return "photos of it raised what two people have not judged: act on its discrepancy"
    # It was there when the item closed; a correction may have taken it away since.
    if answer is None or answer.finding is Finding.NOT_FITTED or item.state is not ItemState.CLOSED:
        return ""
    return LACKING if lacks_pressure(r, item) else undone(r, answer)


def _cases(
    r: Reader, inspection: Inspection, cases: tuple[Case, ...], today: date, landings: int | None
) -> Iterator[Gap]:
    for one in cases:
        where = one.place.leg.position
        carried = " (carried from an earlier visit)" if one.carried else ""
        state = one.discrepancy.state
        if state is DiscrepancyState.OPEN:
            yield Gap(where, f"discrepancy open{carried}: {one.discrepancy.text}")
        elif state is DiscrepancyState.ACTED:
            yield Gap(where, f"not looked at again after its action{carried}: {one.discrepancy.text}")
        elif one.deferral is not None and state is DiscrepancyState.DEFERRED:
            until_landings = one.deferral.due_landings is not None and landings is None
            if is_overdue(one.deferral, today, landings):
                yield Gap(where, f"deferral overdue{carried}: {one.discrepancy.text}")
            elif until_landings:
                yield Gap(where, f"deferred until {one.deferral.due_landings} landings{carried}: "
                                 "give the aircraft's landings to hold it against")  # fmt: skip


def _rest(r: Reader, inspection: Inspection) -> Iterator[Gap]:
    for words in still_open(r, inspection.id):
        yield Gap("aircraft", words)
    if pending(r, inspection.id) is not None:
        yield Gap("aircraft", "a handover is given and not taken")
    now = condition_now(r, inspection.id)
    left = (ItemCondition.ON_WHEELS.value, ItemCondition.RESTORED.value)
    if now is None or now.what not in left:
        yield Gap("aircraft", "it is not stated how the aircraft was left: restored, or on its wheels")
