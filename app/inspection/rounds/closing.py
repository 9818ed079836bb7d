"""How an item of a round moves on: into a discrepancy, closed, and what its closing clears."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

from app.errors import Conflict
from app.inspection.base import new_id
from app.inspection.model import (
    Discrepancy,
    DiscrepancyState,
    Inspection,
    Item,
    ItemState,
    LegEntry,
    Person,
    Try,
)
from app.inspection.ports import Reader
from app.inspection.rounds.batches import DEFERRED_LEFT, FLAGS_LEFT, current_answer, is_signed
from app.inspection.rounds.common import action_of, title_of
from app.inspection.rounds.model import Action, Answer, Finding, Sequence, SequenceKind
from app.inspection.rounds.search_left import left_to_judge
from app.programme import Item as ProgrammeItem
from app.programme import Programme


def discrepancies_cleared(r: Reader, item: Item) -> list[Discrepancy]:
    """Return the discrepancies that an item clears by closing: those whose last action it looks at again.

    One that was acted on once more, after a deferral, say, waits for the re-inspection of that.
    """
    acted = {one.discrepancy_id for one in r.all(Action, reinspection_id=item.id)}
    found = [r.get(Discrepancy, one) for one in sorted(acted)]
    return [
        replace(one, state=DiscrepancyState.CLEARED)
        for one in found
        if one.state is DiscrepancyState.ACTED and _last_looked_at(r, one) == item.id
    ]


def _last_looked_at(r: Reader, one: Discrepancy) -> str:
    """The item that looks at a discrepancy's last action again."""
    return max(r.all(Action, discrepancy_id=one.id), key=lambda action: action.at).reinspection_id


def tries_since_action(r: Reader, item_id: str, tries: tuple[Try, ...]) -> tuple[Try, ...]:
    """Return the tries at a strut that were begun after the last action which it looks at again."""
    last = acted_at(r, item_id)
    return tries if last is None else tuple(one for one in tries if one.begun_at >= last)


def acted_at(r: Reader, item_id: str) -> datetime | None:
    """Return when the last action was done that a strut's item looks at again, or None."""
    return max((one.at for one in r.all(Action, reinspection_id=item_id)), default=None)


def item_closed(r: Reader, item: Item, at: datetime) -> list[Item | Discrepancy | Answer]:
    """Return what changes when an item is closed by its second look.

    A re-inspection clears its discrepancy, and with it closes the item on which
    that was found, where this is of the same visit, and the re-inspections before it.
    Of these one whose photos raised something that two people have not judged stays open for that.
    What was judged beside a fault that is put off leaves its item where that fault has brought it.
    """
    stays = judged_beside_fault(r, item)
    rows: list[Item | Discrepancy | Answer] = [
        replace(item, state=ItemState.DISCREPANCY if stays else ItemState.CLOSED)
    ]
    cleared = discrepancies_cleared(r, item)
    rows += cleared
    for one in cleared:
        for other in _stands_on(r, one):
            if other.id == item.id or not _is_here(r, other, item.inspection_id):
                continue
            still = _still_on(r, other, one)
            if left_to_judge(r, other):
                if still <= {DiscrepancyState.DEFERRED}:
                    rows += _open_again(r, other, at, DEFERRED_LEFT if still else FLAGS_LEFT)
            elif not still:
                rows.append(replace(other, state=ItemState.CLOSED))
    return rows


def opened_by_deferral(
    r: Reader, deferred: Discrepancy, inspection_id: str, at: datetime
) -> list[Item | Answer]:
    """Return what changes on the items of a visit when a discrepancy is deferred: photos left are judged now.

    The fault is put off, but what photos of these hoses raised beside it is not: the item is to do
    again as it is after an action, once nothing else on it is open.

    Raises
    ------
    Conflict
        What was found is not signed, and nobody would sign it any more.
    """
    rows: list[Item | Answer] = []
    for one in left_beside(r, deferred, inspection_id):
        stood = current_answer(r, one.id)
        if stood is not None and not is_signed(stood):
            msg = "What was found is not signed: have it signed, then defer it. Photos are judged after that."
            raise Conflict(msg)
        rows += _open_again(r, one, at, DEFERRED_LEFT)
    return rows


def left_beside(r: Reader, deferred: Discrepancy, inspection_id: str) -> list[Item]:
    """Return the items of a visit whose photos are left once this discrepancy is deferred, too."""
    return [
        one
        for one in _stands_on(r, deferred)
        if _is_here(r, one, inspection_id)
        and _still_on(r, one, deferred) <= {DiscrepancyState.DEFERRED}
        and left_to_judge(r, one)
    ]


def photos_passed_by(r: Reader, item: Item) -> bool:
    """Return whether all that is wrong on an item is put off or cleared, and its photos are not judged."""
    here = _is_here(r, item, item.inspection_id) and _still_on(r, item) <= {DiscrepancyState.DEFERRED}
    return here and left_to_judge(r, item)


def judged_beside_fault(r: Reader, item: Item) -> bool:
    """Return whether an item was open again for its photos beside a fault that is not cleared yet."""
    beside = any(one.text == DEFERRED_LEFT for one in r.all(Answer, item_id=item.id))
    return beside and bool(_still_on(r, item))


def _stands_on(r: Reader, one: Discrepancy) -> list[Item]:
    """The item on which a discrepancy was found, and every item that looked at it again."""
    again = [action.reinspection_id for action in r.all(Action, discrepancy_id=one.id)]
    return [r.get(Item, id_) for id_ in dict.fromkeys([one.item_id, *again])]


def _open_again(r: Reader, item: Item, at: datetime, why: str) -> list[Item | Answer]:
    """An item to do again, and what takes back the answer it stood on: the fault, acted on or put off."""
    rows: list[Item | Answer] = [replace(item, state=ItemState.TO_DO)]
    stood = current_answer(r, item.id)
    if stood is not None:
        rows.append(
            replace(
                stood, id=new_id(), finding=Finding.UNDECIDED, text=why, reading=None,
                instrument_id=None, supersedes=stood.id, reason=why, signature_id=None,
                supervisor_signature_id=None, at=at,
            )
        )  # fmt: skip
    return rows


def _still_on(r: Reader, item: Item, but: Discrepancy | None = None) -> set[DiscrepancyState]:
    """The states of what was found on an item or is looked at again there, and is not cleared."""
    again = [r.get(Discrepancy, one.discrepancy_id) for one in r.all(Action, reinspection_id=item.id)]
    found = (*r.all(Discrepancy, item_id=item.id), *again)
    return {one.state for one in found if but is None or one.id != but.id} - {DiscrepancyState.CLEARED}


def _is_here(r: Reader, other: Item, inspection_id: str) -> bool:
    """Whether an item stands on a fault, on this visit, which is open."""
    return (
        other.inspection_id == inspection_id
        and other.state is ItemState.DISCREPANCY
        and r.get(Inspection, inspection_id).closed_at is None
    )


def item_faulty(
    r: Reader,
    programme: Programme,
    wanted: ProgrammeItem,
    item: Item,
    person: Person,
    text: str,
    place: str,
    photo: str | None,
    at: datetime,
    *,
    leak: bool = False,
    apart: bool = False,
) -> list[Item | Discrepancy | Sequence]:
    """Return what changes when something wrong was found on an item.

    On a re-inspection the action has not helped, and its discrepancy is open again; what is `apart`
    from that, or is a leak where that was none, is one of its own, on the item that is looked at again.
    A leak or a crack begins its sequence; `leak` where it is one on an item that asks for something else.
    """
    rows: list[Item | Discrepancy | Sequence] = [replace(item, state=ItemState.DISCREPANCY, hands_wanted=0)]
    on, again = item, _looked_at_again(r, item)
    if again is not None:
        rows.append(replace(again, state=DiscrepancyState.OPEN))
        if not apart and (not leak or _leaks(r, again)):
            return rows
        original = r.get(Item, again.item_id)  # so it stays open for this one, too, if it is of this visit
        on = original if original.inspection_id == item.inspection_id else item
    told = f"{title_of(r, programme, item)}: {text}"
    return [*rows, *_opened(r, wanted, on, person, told, place, photo, at, leak=leak)]


def _looked_at_again(r: Reader, item: Item) -> Discrepancy | None:
    """The discrepancy of a re-inspection; None of another item."""
    action = action_of(r, item)
    return None if action is None else r.get(Discrepancy, action.discrepancy_id)


def _leaks(r: Reader, one: Discrepancy) -> bool:
    return any(each.kind is SequenceKind.LEAK for each in r.all(Sequence, discrepancy_id=one.id))


def _opened(
    r: Reader, wanted: ProgrammeItem, item: Item, person: Person, text: str, place: str,
    photo: str | None, at: datetime, *, leak: bool,
) -> list[Discrepancy | Sequence]:  # fmt: skip
    """A new discrepancy of an item, with the sequence that it begins."""
    where = place or f"{r.get(LegEntry, item.leg_id).position} leg, {wanted.title}"
    found = Discrepancy(new_id(), item.id, None, where, text, photo, person.id, at)
    if not leak and wanted.sequence not in (SequenceKind.LEAK, SequenceKind.CRACK):
        return [found]
    kind = SequenceKind.LEAK if leak else SequenceKind(wanted.sequence)
    return [found, Sequence(new_id(), kind, item.inspection_id, item.id, found.id, person.id, at)]


def all_faulty(
    r: Reader,
    programme: Programme,
    wanted: ProgrammeItem,
    item: Item,
    person: Person,
    faults: Iterable[Mapping[str, Any]],
    at: datetime,
) -> list[Item | Discrepancy | Sequence]:
    """Return what changes when several things wrong were found on searched photos, each with its place.

    On a re-inspection what is wrong on another hose or surface than before is apart.

    Parameters
    ----------
    faults : iterable of mapping
        Each with ``hose``, ``text``, ``photo`` and ``leak``, of a surface with ``surface``.
    """
    leg, again = r.get(LegEntry, item.leg_id), _looked_at_again(r, item)
    rows: dict[str, Item | Discrepancy | Sequence] = {}
    for one in faults:
        where = f"hose {one['hose']}" if one["hose"] else one.get("surface", "")
        place = f"{leg.position} leg, {where}" if where else ""
        apart = again is not None and place not in ("", again.place)
        found = item_faulty(
            r, programme, wanted, item, person, one["text"], place, one["photo"], at,
            leak=one["leak"], apart=apart,
        )  # fmt: skip
        rows |= {row.id: row for row in found}
    return list(rows.values())


def involved_in(r: Reader, item: Item) -> set[str]:
    """Return who did the action that an item looks at again, and who found its fault's cure before."""
    action = action_of(r, item)
    acted = r.all(Action, reinspection_id=item.id) if action is None else (action,)
    return {one.person_id for one in acted}
