"""Photos that are searched: begun, shown what of them is searched, searched again, given up.

The photo goes the way of every try (`app.inspection.tries`, `measuring`), but is searched
only once a person has shown on it which hoses it shows, or which region of a surface.
"""

from collections.abc import Mapping
from collections.abc import Sequence as Some
from dataclasses import replace
from datetime import datetime
from typing import Any

from app.errors import Conflict
from app.inspection.base import checked_text, new_id, require_mechanic, require_performer
from app.inspection.model import Item, ItemState, Person, Try, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import (
    open_visit,
    programme_item,
    require_condition,
    require_programme,
    require_worker,
)
from app.inspection.rounds.hose_pair_rules import SECOND_OF, is_second
from app.inspection.rounds.looks import Looks
from app.inspection.rounds.search_kinds import HOSES, SearchKind, kind_of, kind_wanted
from app.inspection.rounds.search_rules import awaits_points
from app.inspection.rounds.search_shown import Showing, shown_options
from app.inspection.rounds.search_state import (
    hoses_of_leg,
    require_not_rejected,
    require_search_item,
    search_kind,
)
from app.inspection.rounds.search_views import (
    HoseOfLeg,
    ShownHose,
    ShownRegion,
)


class SearchPhotos(Looks):
    """From the photo to its search."""

    def search_locks(self, item_id: str) -> tuple[str, ...] | None:
        """Return why no photo of an item can be searched now; None for an item that is searched on none."""
        with self._records.look() as r:
            item = r.get(Item, item_id)
            kind = kind_wanted(programme_item(r, require_programme(r, item.inspection_id), item))
            return None if kind is None else _locks(r, item, kind)

    def search_kind(self, item_id: str) -> SearchKind | None:
        """Return what photos of an item are searched for; None for an item that is searched on none."""
        with self._records.look() as r:
            item = r.get(Item, item_id)
            return kind_wanted(programme_item(r, require_programme(r, item.inspection_id), item))

    def hoses_of(self, item_id: str) -> tuple[HoseOfLeg, ...]:
        """Return the hoses of an item's leg, each with why it cannot be searched on a photo."""
        with self._records.look() as r:
            return hoses_of_leg(r, r.get(Item, item_id))

    def begin_search_try(self, person: Person, item_id: str, seen_from: str) -> Try:
        """Begin a photo that is searched; an item takes as many as it needs, and all of them are judged.

        Parameters
        ----------
        seen_from : str
            From where it is taken, e.g. ``"front, from below"``: a photo shows one side; of a surface also
            which it is.

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
            made = begun(item, person, side, self._clock.now(), search_kind(work, item))
            work.enter("try-begun", person, item.inspection_id, made)
        return made

    def show_hoses(self, person: Person, try_id: str, taps: Some[ShownHose]) -> Try:
        """Show which hoses of the leg a photo shows, by 1 to 9 points along each; then it is searched.

        Raises
        ------
        NotAllowed
            The photo is another person's.
        Conflict
            It is no photo of hoses, has not arrived, or something is shown on it already (`search_again`).
        UsageError
            A hose is none of the leg's that can be searched, or its points are none.
        """
        return self._show(person, try_id, taps, "hoses-shown")

    def show_region(self, person: Person, try_id: str, region: ShownRegion) -> Try:
        """Show which piece of a surface is to be searched, by its corners; then the photo is searched.

        Raises as `show_hoses`; UsageError where the corners bound no region.
        """
        return self._show(person, try_id, region, "region-shown")

    def _show(self, person: Person, try_id: str, shown: Showing, event: str) -> Try:
        with self._records.begin() as work:
            this = work.get(Try, try_id)
            require_performer(person, this)
            item = work.get(Item, this.item_id)
            open_visit(work, item.inspection_id)
            kind = kind_of(this)
            if not awaits_points(this) or kind is None:
                raise Conflict((kind or HOSES).shown_once)
            kept = replace(this, options=this.options | shown_options(work, item, kind, shown, this))
            work.enter(event, person, item.inspection_id, kept)
        return kept

    def search_again(self, person: Person, try_id: str, shown: Showing) -> Try:
        """Begin a try with the photo of another one, and something else shown on it; both are judged.

        Raises as `begin_search_try`, `show_hoses` and `show_region`.
        """
        with self._records.begin() as work:
            this = work.get(Try, try_id)
            require_performer(person, this)
            item = work.get(Item, this.item_id)
            self._require_room(work, person, item)
            measured = (TryState.READ, TryState.REFUSED, TryState.FAILED)
            kind = kind_of(this)
            if kind is None or this.photo is None or this.state not in measured:
                raise Conflict((kind or HOSES).show_before)
            if is_second(this) and this.state is TryState.READ:
                msg = "This photo was compared: what is left is judged by looking."
                raise Conflict(msg)
            more = {one: this.options[one] for one in (SECOND_OF,) if one in this.options}
            more |= shown_options(work, item, kind, shown, this)
            made = begun(item, person, this.options["seen_from"], self._clock.now(), kind, more)
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
        """Say that a photo on which nothing is shown is not to be searched; it stays on the item.

        Who took it may be away meanwhile: everybody who answers for work may say so.

        Raises
        ------
        NotAllowed
            The person answers for no work.
        Conflict
            Something is shown on it, or it is no photo that is searched.
        """
        require_worker(person)
        with self._records.begin() as work:
            this = work.get(Try, try_id)
            item = work.get(Item, this.item_id)
            open_visit(work, item.inspection_id)
            kind = kind_of(this) or HOSES
            if not awaits_points(this):
                raise Conflict(kind.give_up_only)
            kept = replace(this, state=TryState.FAILED, failure=kind.given_up, stage="")
            work.enter("photo-given-up", person, item.inspection_id, kept)
        return kept

    def _require_room(self, r: Reader, person: Person, item: Item) -> None:
        open_visit(r, item.inspection_id)
        wanted = require_search_item(r, item)
        require_condition(r, person, item, wanted)
        require_room_for_search_photo(r, item)
        locks = _locks(r, item, search_kind(r, item))
        if locks:
            raise Conflict(locks[0])


def require_room_for_search_photo(r: Reader, item: Item) -> None:
    """Refuse a photo to be searched where the item is answered, or photos of it did not stand.

    Raises
    ------
    Conflict
        It is, or they did not.
    """
    if item.state is not ItemState.TO_DO or current_answer(r, item.id) is not None:
        msg = "This item is answered: to change the answer, correct it and say why."
        raise Conflict(msg)
    require_not_rejected(r, item)


def _locks(r: Reader, item: Item, kind: SearchKind) -> tuple[str, ...]:
    if not kind.of_leg:
        return ()
    hoses = hoses_of_leg(r, item)
    if not hoses:
        return ("The leg's data have no hose: inspect all of them by hand and mirror, or have them entered.",)
    return () if any(not one.why_not for one in hoses) else tuple(one.why_not for one in hoses)


def begun(
    item: Item,
    person: Person,
    seen_from: str,
    now: datetime,
    kind: SearchKind,
    more: Mapping[str, Any] | None = None,
    *told: str,
) -> Try:
    """Return a new try at a photo to be searched, with more options and statements where they are given."""
    options = {"what": kind.what, "seen_from": seen_from, **(more or {})}
    return Try(new_id(), item.id, person.id, now, (f"Photographed from: {seen_from}.", *told), options)
