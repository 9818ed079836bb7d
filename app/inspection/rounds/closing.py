"""How an item of a round moves on: into a discrepancy, closed, and what its closing clears."""

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any

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
from app.inspection.rounds.batches import FLAGS_LEFT, current_answer
from app.inspection.rounds.common import action_of, title_of
from app.inspection.rounds.hose_left import left_to_judge
from app.inspection.rounds.model import Action, Answer, Finding, Sequence, SequenceKind
from app.programme import Item as ProgrammeItem
from app.programme import Programme


def discrepancies_cleared(r: Reader, item: Item) -> list[Discrepancy]:
    """Return the discrepancies that an item clears by being closed: those acted on that it looks at again."""
    acted = {one.discrepancy_id for one in r.all(Action, reinspection_id=item.id)}
    found = [r.get(Discrepancy, one) for one in sorted(acted)]
    return [
        replace(one, state=DiscrepancyState.CLEARED) for one in found if one.state is DiscrepancyState.ACTED
    ]


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
    """
    rows: list[Item | Discrepancy | Answer] = [replace(item, state=ItemState.CLOSED)]
    cleared = discrepancies_cleared(r, item)
    rows += cleared
    for one in cleared:
        before = [one.item_id] + [action.reinspection_id for action in r.all(Action, discrepancy_id=one.id)]
        for id_ in dict.fromkeys(before):
            other = r.get(Item, id_)
            if other.id != item.id and _may_close(r, other, item, one):
                left = left_to_judge(r, other)
                rows += _open_again(r, other, at) if left else [replace(other, state=ItemState.CLOSED)]
    return rows


def _open_again(r: Reader, item: Item, at: datetime) -> list[Item | Answer]:
    """An item to do again, and what takes back the answer it stood on: the fault, which is acted on."""
    rows: list[Item | Answer] = [replace(item, state=ItemState.TO_DO)]
    stood = current_answer(r, item.id)
    if stood is not None:
        rows.append(
            replace(
                stood, id=new_id(), finding=Finding.UNDECIDED, text=FLAGS_LEFT, reading=None,
                instrument_id=None, supersedes=stood.id, reason=FLAGS_LEFT, signature_id=None,
                supervisor_signature_id=None, at=at,
            )
        )  # fmt: skip
    return rows


def _may_close(r: Reader, other: Item, item: Item, cleared: Discrepancy) -> bool:
    still = [
        one
        for one in r.all(Discrepancy, item_id=other.id)
        if one.id != cleared.id and one.state is not DiscrepancyState.CLEARED
    ]
    return (
        other.inspection_id == item.inspection_id
        and other.state is ItemState.DISCREPANCY
        and not still
        and r.get(Inspection, other.inspection_id).closed_at is None
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
    """Return what changes when several things wrong were found on an item's hoses, each with its place.

    On a re-inspection what is wrong on another hose than before is apart.

    Parameters
    ----------
    faults : iterable of mapping
        Each with ``hose``, ``text``, ``photo`` and ``leak``.
    """
    leg, again = r.get(LegEntry, item.leg_id), _looked_at_again(r, item)
    rows: dict[str, Item | Discrepancy | Sequence] = {}
    for one in faults:
        place = f"{leg.position} leg, hose {one['hose']}" if one["hose"] else ""
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
