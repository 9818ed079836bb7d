"""The round of a leg as it is walked: its items in order, where each stands, how far one is."""

from dataclasses import dataclass

from app.inspection.model import Inspection, Item, ItemState, LegEntry, Person
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import (
    REINSPECTION,
    RoundCases,
    base_key,
    is_photo_item,
    programme_item,
    require_programme,
    title_of,
)
from app.inspection.rounds.model import Answer
from app.programme import Caution, Group
from app.programme import Item as ProgrammeItem


@dataclass(frozen=True)
class Stop:
    """One item of the round.

    Attributes
    ----------
    answered : bool
        Somebody has answered it; it may still wait for signatures.
    mine : Answer or None
        The answer that stands, where the asking person gave it: nobody else is shown it here.
    """

    item: Item
    wanted: ProgrammeItem
    title: str
    group: Group
    answered: bool
    mine: Answer | None


@dataclass(frozen=True)
class Walk:
    """A leg's round; re-inspections come first, being what was waited for."""

    inspection: Inspection
    leg: LegEntry
    stops: tuple[Stop, ...]

    @property
    def done(self) -> int:
        """How many items are answered or past it."""
        return sum(one.answered for one in self.stops)

    def next_after(self, item_id: str = "") -> Stop | None:
        """Return the next item that is not answered, after this one, beginning anew at the end."""
        places = [one.item.id for one in self.stops]
        start = places.index(item_id) + 1 if item_id in places else 0
        turned = self.stops[start:] + self.stops[:start]
        return next((one for one in turned if not one.answered), None)


class Walking(RoundCases):
    """What a person at the aircraft goes through."""

    def walk(self, person: Person, inspection_id: str, leg_id: str) -> Walk:
        """Return the round of one leg, in walk-round order."""
        with self._records.look() as r:
            programme = require_programme(r, inspection_id)
            items = r.all(Item, inspection_id=inspection_id, leg_id=leg_id)
            order = {one.key: number for number, one in enumerate(programme.items)}
            groups = {one.key: one for one in programme.groups}
            answers: dict[str, list[Answer]] = {}
            for one in r.all(Answer, inspection_id=inspection_id):
                answers.setdefault(one.item_id, []).append(one)
            stops = []
            for item in sorted(
                items,
                key=lambda one: (
                    not one.key.startswith(REINSPECTION),
                    order.get(base_key(one.key), 0),
                    one.key,
                ),
            ):
                wanted = programme_item(r, programme, item)
                current = current_answer(r, item.id) if item.id in answers else None
                stops.append(
                    Stop(
                        item,
                        wanted,
                        title_of(r, programme, item),
                        groups[wanted.group],
                        _is_answered(item, current),
                        current if current is not None and current.person_id == person.id else None,
                    )
                )
            return Walk(r.get(Inspection, inspection_id), r.get(LegEntry, leg_id), tuple(stops))

    def stop(self, person: Person, item_id: str) -> Stop:
        """Return one item of its round."""
        with self._records.look() as r:
            item = r.get(Item, item_id)
            programme = require_programme(r, item.inspection_id)
            wanted = programme_item(r, programme, item)
            groups = {one.key: one for one in programme.groups}
            current = current_answer(r, item.id)
            mine = current if current is not None and current.person_id == person.id else None
            return Stop(
                item,
                wanted,
                title_of(r, programme, item),
                groups[wanted.group],
                _is_answered(item, current),
                mine,
            )

    def cautions_of(self, item_id: str) -> tuple[Caution, ...]:
        """Return the cautions of an item, and those of its condition."""
        with self._records.look() as r:
            item = r.get(Item, item_id)
            programme = require_programme(r, item.inspection_id)
            wanted = programme_item(r, programme, item)
            keys = (*wanted.cautions, *programme.condition(wanted.condition).cautions)
            return tuple(programme.caution(key) for key in dict.fromkeys(keys))

    def items_open(self, inspection_id: str) -> dict[str, tuple[int, int]]:
        """Return (closed, all) items of a visit by leg."""
        with self._records.look() as r:
            return _count(r, inspection_id)


def _is_answered(item: Item, current: Answer | None) -> bool:
    if is_photo_item(item):
        return item.state is not ItemState.TO_DO
    return current is not None or item.state not in (ItemState.TO_DO,)


def _count(r: Reader, inspection_id: str) -> dict[str, tuple[int, int]]:
    found: dict[str, tuple[int, int]] = {}
    for one in r.all(Item, inspection_id=inspection_id):
        closed, total = found.get(one.leg_id, (0, 0))
        found[one.leg_id] = closed + (one.state is ItemState.CLOSED), total + 1
    return found
