"""What stands against a wheel, and when its tire was last worked on.

=========================================  ==============================================
a discrepancy of the wheel                 keeps the camera away
=========================================  ==============================================
open                                       always
damage, deferred or acted on               until its re-inspection is signed by two people
pressure, line or creep read outside,      no: it is no damage, and what was read is
deferred or acted on                       re-inspected by reading it anew, on a photo too
=========================================  ==============================================

Of the wheel is what was found on its leg in the groups `GROUPS`, in the group of the photo's
item or on an item done for each wheel, on any visit; of twin wheels not what was found on the other.
"""

from collections.abc import Iterable
from typing import NamedTuple

from app.errors import NotFound
from app.inspection.model import Discrepancy, DiscrepancyState, Item
from app.inspection.ports import Reader
from app.inspection.rounds.common import action_of, programme_item, require_programme, round_of, wheel_of
from app.inspection.rounds.model import Action, ActionKind, Answer, Finding, Look
from app.inspection.rounds.tire_gauge import is_of_tire, is_tire_photo
from app.programme import Item as ProgrammeItem

_TIRE, _WHEEL = "tire", "wheel"
GROUPS = frozenset({_TIRE, _WHEEL, "brake"})
"""A programme's groups in which what is damaged endangers who stands beside the wheel."""

_BY_HAND = frozenset({ActionKind.ADJUSTED, ActionKind.SERVICED, ActionKind.REPAIRED, ActionKind.REPLACED})
_WORK = {_TIRE: _BY_HAND, _WHEEL: frozenset({ActionKind.REPAIRED, ActionKind.REPLACED})}
"""What lets the air out, or brings another tire, by the group on which it is done; judged."""

_STATES = {
    DiscrepancyState.OPEN: (
        "Something is open on this wheel",
        "Act on it and have its re-inspection signed; until then stay away from the wheel's side.",
    ),
    DiscrepancyState.DEFERRED: (
        "Something on this wheel is deferred",
        "Deferred is not mended: it has to be acted on and its re-inspection signed before the photo.",
    ),
    DiscrepancyState.ACTED: (
        "Something on this wheel was acted on and is not inspected again",
        "Two people sign its re-inspection before the photo.",
    ),
}


class Standing(NamedTuple):
    """A discrepancy that stands against a wheel; `carried` where it was found on another visit."""

    discrepancy: Discrepancy
    carried: bool
    damage: bool

    @property
    def words(self) -> str:
        """What stands, and what to do about it."""
        head, advice = _STATES[self.discrepancy.state]
        advice = advice if self.damage else "Act on it first."
        where = " (found on an earlier visit)" if self.carried else ""
        return f"{head}{where}: {self.discrepancy.text} {advice}"


def standing_on_wheel(r: Reader, item: Item) -> list[Standing]:
    """Return what keeps the wheel of an item from being photographed, in the order it was found."""
    own = action_of(r, item)
    found = []
    for state in _STATES:
        for one in r.all(Discrepancy, state=state):
            other = r.get(Item, one.item_id)
            if not _is_of_wheel(r, item, other):
                continue
            is_own = own is not None and own.discrepancy_id == one.id
            damage = _is_damage(r, one)
            if state is DiscrepancyState.OPEN or (damage and not is_own):
                found.append(Standing(one, other.inspection_id != item.inspection_id, damage))
    return sorted(found, key=lambda one: (one.discrepancy.opened_at, one.discrepancy.id))


def last_work(r: Reader, item: Item, visits: Iterable[str]) -> Action | None:
    """Return the last action on these visits that let the air out of an item's tire, or changed the tire."""
    done = [
        one
        for visit in visits
        for one in r.all(Action, inspection_id=visit)
        for other in [r.get(Item, r.get(Discrepancy, one.discrepancy_id).item_id)]
        if _is_of_wheel(r, item, other) and one.kind in _work_in(r, other)
    ]
    return max(done, key=lambda one: (one.at, one.id), default=None)


def _work_in(r: Reader, worked_on: Item) -> frozenset[ActionKind]:
    """The actions that count; a group of another name holds what is of the tire."""
    wanted = _asked(r, worked_on)
    group = "" if wanted is None else wanted.group
    return _WORK.get(group if group in GROUPS else _TIRE, frozenset())


def _is_of_wheel(r: Reader, item: Item, other: Item) -> bool:
    if other.leg_id != item.leg_id:
        return False
    wheels = {wheel_of(r, item), wheel_of(r, other)} - {""}
    wanted, own = _asked(r, other), _asked(r, item)
    if wanted is None or len(wheels) > 1:
        return False
    return wanted.group in GROUPS or bool(wanted.each) or (own is not None and wanted.group == own.group)


def _asked(r: Reader, item: Item) -> ProgrammeItem | None:
    """What the programme of an item's own visit says of it; None where it followed none."""
    if round_of(r, item.inspection_id) is None:
        return None
    try:
        return programme_item(r, require_programme(r, item.inspection_id), item)
    except NotFound:
        return None


def _is_damage(r: Reader, one: Discrepancy) -> bool:
    """Whether a discrepancy is anything else than a pressure, a line or a slip that was read outside."""
    wanted = _asked(r, r.get(Item, one.item_id))
    if wanted is not None and not (is_of_tire(wanted) or is_tire_photo(wanted)):
        return True
    again = [done.reinspection_id for done in r.all(Action, discrepancy_id=one.id)]
    said: list[Answer | Look] = []
    for item_id in (one.item_id, *again):
        answers = r.all(Answer, item_id=item_id)
        said += answers
        said += [look for answer in answers for look in r.all(Look, answer_id=answer.id)]
    return any(each.finding is Finding.FAULT and "value" not in (each.reading or {}) for each in said)
