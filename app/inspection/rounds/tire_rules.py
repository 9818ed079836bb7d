"""What has to hold before a tire is photographed, and before a photo of it answers its item; rules alone.

====================================================  ====================================
before the photo                                      else
====================================================  ====================================
the leg's data have the tire, and what is asked       answer by gauge, or not fitted
time since the last landing, or the brake's           wait: nobody comes near a hot
temperature, is what the document calls cold          tire or brake from the side
(`tire_cold`)
a good gauge reading of the tire stands, not older    read the gauge first
than a day, and nothing was done to the tire since
no damage is seen, and none stands on the wheel       put it right, and have it
(`tire_standing`)                                     inspected again
the item is to do, and no photo of it was rejected    measure by gauge
====================================================  ====================================

A photo within answers only beside what the mechanic saw by eye at the wheel, and not
against the other photos of the wheel (`tire_wheel`).
"""

from dataclasses import replace
from datetime import datetime
from enum import StrEnum

from app.errors import Conflict
from app.inspection.model import Item, ItemState, Try, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import (
    leg_in,
    leg_of,
    programme_item,
    require_programme,
    round_of,
    wheel_of,
)
from app.inspection.rounds.model import Answer, Look, LookOutcome
from app.inspection.rounds.search_kinds import kind_of
from app.inspection.rounds.search_rules import awaits_points
from app.inspection.rounds.tire_gauge import is_tire_photo
from app.inspection.rounds.tire_pressure import LACKING, gauge_locks, good_pressure
from app.inspection.rounds.tire_standing import standing_on_wheel
from app.programme import WHEELS
from app.programme import Item as ProgrammeItem

TIRE = "tire"
"""`Try.options["what"]` of a tire's photo; stored for years."""

LINE, ARC = "pressure_line_angle", "creep_arc"


class Shown(StrEnum):
    """What a person can show on a tire's photo where the program does not find it; values are stored."""

    RIM = "rim_px"
    GROUND = "ground_px"
    PLUMB = "plumb_px"
    HORIZON = "horizon_px"

    @property
    def labels(self) -> tuple[str, ...]:
        """What each point is to be placed on."""
        return _SHOWN[self][1]

    @property
    def least(self) -> int:
        """How many points are asked for."""
        return len(self.labels)

    @property
    def words(self) -> str:
        """What it is, as it is stated and signed."""
        return _SHOWN[self][0]


_SHOWN = {
    Shown.RIM: (
        "the flange's outer edge",
        tuple(f"flange's edge, {n} o'clock" for n in (12, 2, 3, 5, 6, 8, 9, 11)),
    ),
    # Within the contact's middle half: its ends bend away from the camera.
    Shown.GROUND: (
        "where the tire meets the ground",
        ("ground contact, left of its middle", "ground contact, right of its middle"),
    ),
    Shown.PLUMB: ("a plumb line", ("plumb line, upper end", "plumb line, lower end")),
    Shown.HORIZON: ("the horizon", ("horizon, far left", "horizon, far right")),
}


def asked_of(wanted: ProgrammeItem) -> str:
    """Return the result that an item's limit limits: the line's angle, or the slip's arc.

    Raises
    ------
    Conflict
        The item is no photo measurement of these.
    """
    found = asked_in(wanted)
    if found is None:
        msg = f"{wanted.title} is not read on a tire's photo: answer it as it asks"
        raise Conflict(msg)
    return found


def asked_in(wanted: ProgrammeItem) -> str | None:
    """Return as `asked_of`; None where the item is no photo measurement of these."""
    return next((name for name in (LINE, ARC) if name in wanted.measures and is_tire_photo(wanted)), None)


def locks_of(r: Reader, item: Item, at: datetime) -> tuple[str, ...]:
    """Return what keeps a tire from being photographed at a time, beside what is told with the photo."""
    wanted = programme_item(r, require_programme(r, item.inspection_id), item)
    return (
        *_wheel_locks(r, item),
        *_leg_locks(r, item, asked_of(wanted)),
        # Before the gauge: nobody is sent with one to a wheel that is damaged.
        *(one.words for one in standing_on_wheel(r, item)),
        *gauge_locks(r, item, at),
    )


def _wheel_locks(r: Reader, item: Item) -> list[str]:
    """One photo is of one tire: how many the leg has must be known."""
    followed = round_of(r, item.inspection_id)
    asks = WHEELS in {one.key for one in require_programme(r, item.inspection_id).features}
    answered = followed is not None and WHEELS in followed.features.get(item.leg_id, {})
    if asks and not answered:
        return ["Whether this leg has one wheel or twin wheels is not answered: answer it under Lists; "
                "it counts from the next visit. Until then measure by gauge."]  # fmt: skip
    return []


def _leg_locks(r: Reader, item: Item, asked: str) -> list[str]:
    entry = leg_of(r, item)
    leg = leg_in(entry.toml, entry.position)
    if leg.tire is None:
        missing = ", ".join(leg.tire_missing) or "[tire]"
        return [f"The leg's data lack {missing}: measure by gauge, or have them entered."]
    if asked == LINE and leg.tire.line == "none":
        return ['The leg\'s data say line = "none": there is no line to photograph.']
    if asked == ARC and leg.tire.creep_limit_mm is None:
        return ["The leg's data have no limit for creep: measure by gauge with the document's limit."]
    if asked == LINE and leg.tire.line_limit_deg is None:
        return ["The leg's data have no limit for the line: measure by gauge with the document's limit."]
    return []


def require_unanswered(r: Reader, item: Item) -> None:
    """Refuse a photo of an item that takes none.

    Raises
    ------
    Conflict
        It is answered, something was found wrong on it, or a photo of it was rejected.
    """
    if item.state is not ItemState.TO_DO or current_answer(r, item.id) is not None:
        msg = "This item is answered: to change the answer, correct it and say why."
        raise Conflict(msg)
    if rejected(r, item):
        msg = (
            "A second person's placing on this tire's photo did not agree with it, and another photo cannot "
            "replace it: both measure by gauge at the wheel."
        )
        raise Conflict(msg)


def require_room_for_photo(r: Reader, item: Item, sha: str) -> None:
    """Refuse a photo that comes too late, or that was sent for the other wheel of twins.

    Raises
    ------
    Conflict
        As `require_unanswered`, or it is the other wheel's.
    """
    require_unanswered(r, item)
    for one in r.all(Try, photo=sha):
        other = r.get(Item, one.item_id)
        if other.leg_id == item.leg_id and wheel_of(r, other) != wheel_of(r, item):
            msg = "This very photo was sent for the other wheel: photograph this one."
            raise Conflict(msg)


def rejected(r: Reader, item: Item) -> bool:
    """Return whether a photo of an item was answered with and did not stand."""
    return any(
        look.outcome is LookOutcome.ANEW
        for one in r.all(Answer, item_id=item.id)
        if try_of_answer(one)
        for look in r.all(Look, answer_id=one.id)
    )


def require_no_photo_under_way(r: Reader, item: Item, *, fault: bool = False) -> None:
    """Refuse an answer while a photo of the item is being measured: what it shows has to be known first.

    A fault does not wait for what is to be searched to be shown on a photo: who took it may be away.

    Raises
    ------
    Conflict
        One is.
    """
    under_way = [
        one for one in r.all(Try, item_id=item.id) if one.state in (TryState.STORED, TryState.MEASURING)
    ]
    if fault and all(awaits_points(one) for one in under_way):
        return
    for waits in map(kind_of, filter(awaits_points, under_way)):
        if waits is not None:
            raise Conflict(waits.show_first)
    if under_way:
        msg = "A photo of it is being measured: wait for what it gives."
        raise Conflict(msg)


def try_of_answer(answer: Answer) -> str | None:
    """Return the id of the try that an answer stands on; None where it was given without a photo."""
    found = (answer.reading or {}).get("try_id")
    return None if found is None else str(found)


def tries_moved(r: Reader, answer: Answer, state: TryState) -> list[Try]:
    """Return the try that an answer stands on as it is settled, or READ again and no longer sent."""
    try_id = try_of_answer(answer)
    if try_id is None:
        return []
    this = r.get(Try, try_id)
    if this.state is not TryState.SENT:
        return []
    return [replace(this, state=state, sent_at=this.sent_at if state is TryState.SETTLED else None)]


def require_gauge(r: Reader, item: Item) -> Answer:
    """Return the good gauge reading of an item's tire.

    Raises
    ------
    Conflict
        There is none.
    """
    found = good_pressure(r, item)
    if found is None:
        msg = f"Not entered: {LACKING}. Read the gauge first."
        raise Conflict(msg)
    return found
