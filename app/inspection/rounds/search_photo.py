"""Photos of hoses: begun, shown which hoses are on them, searched again, given up.

The photo goes the way of every try (`app.inspection.tries`, `measuring`), but is searched
only once a person has shown on it which hoses it shows.
"""

import math
from collections.abc import Mapping
from collections.abc import Sequence as Some
from dataclasses import replace
from datetime import datetime
from typing import Any

from app.errors import Conflict, UsageError
from app.inspection.base import checked_text, new_id, require_mechanic, require_performer
from app.inspection.model import Item, ItemState, Person, Pixel, Try, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import (
    open_visit,
    programme_item,
    require_condition,
    require_programme,
    require_worker,
)
from app.inspection.rounds.hose_pair_rules import SECOND_OF, first_id, is_second
from app.inspection.rounds.looks import Looks
from app.inspection.rounds.search_rules import (
    HOSE,
    MOST_POINTS,
    awaits_points,
    is_hose_search,
    is_search_photo,
)
from app.inspection.rounds.search_state import (
    hoses_of_leg,
    require_not_rejected,
    require_search_item,
)
from app.inspection.rounds.search_views import (
    HoseOfLeg,
    ShownHose,
)

GIVEN_UP = "Given up: no hose was shown on it."
_FAR_PX = 100_000


class SearchPhotos(Looks):
    """From the photo to its search."""

    def search_locks(self, item_id: str) -> tuple[str, ...] | None:
        """Return why no photo of an item can be searched now; None for an item that is searched on none."""
        with self._records.look() as r:
            item = r.get(Item, item_id)
            wanted = programme_item(r, require_programme(r, item.inspection_id), item)
            return _locks(r, item) if is_hose_search(wanted) else None

    def hoses_of(self, item_id: str) -> tuple[HoseOfLeg, ...]:
        """Return the hoses of an item's leg, each with why it cannot be searched on a photo."""
        with self._records.look() as r:
            return hoses_of_leg(r, r.get(Item, item_id))

    def begin_search_try(self, person: Person, item_id: str, seen_from: str) -> Try:
        """Begin a photo of hoses; an item takes as many as show its hoses, and all of them are judged.

        Parameters
        ----------
        seen_from : str
            From where it is taken, e.g. ``"front, from below"``: a photo shows one side.

        Raises
        ------
        NotAllowed
            The person is no mechanic.
        Conflict
            The leg's data have no hose that can be searched, the condition is not the item's, it is
            answered, or photos of it were set aside by a second person.
        UsageError
            From where is not told.
        """
        require_mechanic(person)
        side = checked_text(seen_from, "From where the photo is taken", 100)
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            self._require_room(work, person, item)
            made = begun(item, person, side, self._clock.now())
            work.enter("try-begun", person, item.inspection_id, made)
        return made

    def show_hoses(self, person: Person, try_id: str, taps: Some[ShownHose]) -> Try:
        """Show which hoses of the leg a photo shows, by 1 to 9 points along each; then it is searched.

        Raises
        ------
        NotAllowed
            The photo is another person's.
        Conflict
            It is no photo of hoses, has not arrived, or its hoses are shown already (`search_again`).
        UsageError
            A hose is none of the leg's that can be searched, or its points are none.
        """
        with self._records.begin() as work:
            this = work.get(Try, try_id)
            require_performer(person, this)
            item = work.get(Item, this.item_id)
            open_visit(work, item.inspection_id)
            if not awaits_points(this):
                msg = "Hoses are shown once on a photo that has arrived: to show others, search it again."
                raise Conflict(msg)
            kept = replace(
                this, options=this.options | {"taps": _taps(work, item, taps, _first_of(work, this))}
            )
            work.enter("hoses-shown", person, item.inspection_id, kept)
        return kept

    def search_again(self, person: Person, try_id: str, taps: Some[ShownHose]) -> Try:
        """Begin a try with the photo of another one, and other points shown on it; both are judged.

        Raises as `begin_search_try` and `show_hoses`.
        """
        with self._records.begin() as work:
            this = work.get(Try, try_id)
            require_performer(person, this)
            item = work.get(Item, this.item_id)
            self._require_room(work, person, item)
            measured = (TryState.READ, TryState.REFUSED, TryState.FAILED)
            if not is_search_photo(this) or this.photo is None or this.state not in measured:
                msg = "This photo is not searched yet: wait for what that gives, or show its hoses first."
                raise Conflict(msg)
            if is_second(this) and this.state is TryState.READ:
                msg = "This photo was compared: what is left is judged by looking."
                raise Conflict(msg)
            more = {one: this.options[one] for one in (SECOND_OF,) if one in this.options}
            shown = {"taps": _taps(work, item, taps, _first_of(work, this))}
            made = begun(item, person, this.options["seen_from"], self._clock.now(), more | shown)
            work.enter("try-begun", person, item.inspection_id, made)
            kept = replace(
                made,
                statements=this.statements,
                state=TryState.STORED,
                photo=this.photo,
                photo_name=this.photo_name,
            )
            work.enter("photo-stored", person, item.inspection_id, kept, data={"again": this.id})
        return kept

    def give_up_photo(self, person: Person, try_id: str) -> Try:
        """Say that a photo whose hoses are not shown is not to be searched; it stays on the item.

        Who took it may be away meanwhile: everybody who answers for work may say so.

        Raises
        ------
        NotAllowed
            The person answers for no work.
        Conflict
            Its hoses are shown, or it is no photo of hoses.
        """
        require_worker(person)
        with self._records.begin() as work:
            this = work.get(Try, try_id)
            item = work.get(Item, this.item_id)
            open_visit(work, item.inspection_id)
            if not awaits_points(this):
                msg = "Only a photo whose hoses are not shown yet is given up: what was searched is judged."
                raise Conflict(msg)
            kept = replace(
                this, state=TryState.FAILED, failure="Given up: no hose was shown on it.", stage=""
            )
            work.enter("photo-given-up", person, item.inspection_id, kept)
        return kept

    def _require_room(self, r: Reader, person: Person, item: Item) -> None:
        open_visit(r, item.inspection_id)
        wanted = require_search_item(r, item)
        require_condition(r, person, item, wanted)
        require_room_for_search_photo(r, item)
        locks = _locks(r, item)
        if locks:
            raise Conflict(locks[0])


def require_room_for_search_photo(r: Reader, item: Item) -> None:
    """Refuse a photo of hoses where the item is answered, or photos of it did not stand.

    Raises
    ------
    Conflict
        It is, or they did not.
    """
    if item.state is not ItemState.TO_DO or current_answer(r, item.id) is not None:
        msg = "This item is answered: to change the answer, correct it and say why."
        raise Conflict(msg)
    require_not_rejected(r, item)


def _locks(r: Reader, item: Item) -> tuple[str, ...]:
    hoses = hoses_of_leg(r, item)
    if not hoses:
        return ("The leg's data have no hose: inspect all of them by hand and mirror, or have them entered.",)
    return () if any(not one.why_not for one in hoses) else tuple(one.why_not for one in hoses)


def begun(
    item: Item,
    person: Person,
    seen_from: str,
    now: datetime,
    more: Mapping[str, Any] | None = None,
    *told: str,
) -> Try:
    """Return a new try at a photo of hoses, with more options and statements where they are given."""
    options = {"what": HOSE, "seen_from": seen_from, **(more or {})}
    return Try(new_id(), item.id, person.id, now, (f"Photographed from: {seen_from}.", *told), options)


def _first_of(r: Reader, this: Try) -> Try | None:
    """The try against which a second photo is held."""
    return r.get(Try, first_id(this)) if is_second(this) else None


def _taps(r: Reader, item: Item, taps: Some[ShownHose], first: Try | None) -> list[dict[str, Any]]:
    """What is shown, as it is kept; on a second photo only hoses that the first one shows."""
    known = {one.name: one for one in hoses_of_leg(r, item)}
    if first is not None:
        on_first = {one["name"] for one in first.options["taps"]}
        known = {name: one for name, one in known.items() if name in on_first}
    if not taps:
        msg = "No hose is shown: put three points or more along each hose that the photo shows, at most nine."
        raise UsageError(msg)
    kept = []
    for one in taps:
        if one.name not in known:
            names = ", ".join(name or "the hose" for name in known)
            where = "The leg's data have" if first is None else "The first photo shows"
            msg = f"{where} no hose {one.name!r}: choose one of {names}"
            raise UsageError(msg)
        if known[one.name].why_not:
            raise UsageError(known[one.name].why_not)
        if not 1 <= len(one.points) <= MOST_POINTS:
            msg = f"{one.name or 'The hose'}: 1 to {MOST_POINTS} points along it, and {len(one.points)} came"
            raise UsageError(msg)
        kept.append({"name": one.name, "points": [list(point_of(x, y)) for x, y in one.points]})
    return kept


def point_of(x: float, y: float) -> Pixel:
    """Return a place on a photo.

    Raises
    ------
    UsageError
        It is none.
    """
    at = (float(x), float(y))
    if not all(math.isfinite(one) and 0 <= one < _FAR_PX for one in at):
        msg = f"{x}, {y} is no place on a photo: place it again"
        raise UsageError(msg)
    return at
