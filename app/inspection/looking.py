"""What is shown of the records: an item's story, the archive, and who may see which picture."""

from datetime import datetime

from app.errors import NotFound
from app.inspection.base import UseCases, place_of, tries_of
from app.inspection.comparing import confirmation_of
from app.inspection.model import (
    BlindReading,
    Discrepancy,
    HandReading,
    Inspection,
    Item,
    ItemState,
    Person,
    Try,
    TryState,
)
from app.inspection.ports import Reader
from app.inspection.rounds.model import Evidence
from app.inspection.rounds.sight import bare_of, sees_photo, sees_result
from app.inspection.rules import was_read
from app.inspection.views import ArchiveFilter, ArchiveRow, Entry, Place, Story


class Looking(UseCases):
    """Reading, never writing."""

    def place_of(self, item_id: str) -> Place:
        """Return an item with its inspection, aircraft and leg."""
        with self._records.look() as r:
            return place_of(r, r.get(Item, item_id))

    def may_see_photo(self, person: Person, sha: str) -> bool:
        """Return whether the person may be shown this original.

        Raises
        ------
        NotFound
            No try has a photo of this name.
        """
        with self._records.look() as r:
            tries = r.all(Try, photo=sha)
            if r.all(Evidence, photo=sha):  # it shows something and tells no length
                return True
            _require_some(tries)
            return any(sees_photo(r, person, one) for one in tries)

    def may_see_annotated(self, person: Person, sha: str) -> bool:
        """Return whether the person may be shown this annotated copy.

        Raises
        ------
        NotFound
            No try has an annotated copy of this name.
        """
        with self._records.look() as r:
            tries = r.all(Try, annotated=sha)
            _require_some(tries)
            return any(sees_result(r, person, one) for one in tries)

    def try_read(self, person: Person, try_id: str) -> Try | None:
        """Return a try with what was read on it to who may see that, else None."""
        with self._records.look() as r:
            found = r.get(Try, try_id)
            return found if sees_result(r, person, found) else None

    def earlier_view(self, item_id: str) -> Try | None:
        """Return the newest settled photo of the same on an earlier visit, without what was read on it.

        It shows where to stand; None where nothing of it was ever read and settled.
        """
        with self._records.look() as r:
            item = r.get(Item, item_id)
            opened = r.get(Inspection, item.inspection_id).opened_at
            found = [
                one
                for other in r.all(Item, leg_id=item.leg_id, key=item.key)
                if r.get(Inspection, other.inspection_id).opened_at < opened
                for one in tries_of(r, other.id)
                if one.photo is not None and one.state is TryState.SETTLED and was_read(one.result)
            ]
        newest = max(found, key=lambda one: (one.begun_at, one.id), default=None)
        return None if newest is None else bare_of(newest)

    def item_story(self, person: Person, item_id: str) -> Story:
        """Return everything on an item in time order, less what the person must not know yet (`Story`)."""
        with self._records.look() as r:
            item = r.get(Item, item_id)
            tries = tries_of(r, item_id)
            hidden = {one.id for one in tries if not sees_result(r, person, one)}
            entries: list[tuple[datetime, Entry]] = []
            for one in tries:
                entries.append((one.begun_at, bare_of(one) if one.id in hidden else one))
                entries += _about(r, one, person)
            made = r.all(HandReading, item_id=item_id)
            entries += [(one.at, one) for one in made if not hidden or one.person_id == person.id]
            entries += [(one.opened_at, one) for one in r.all(Discrepancy, item_id=item_id)]
            return Story(place_of(r, item), tuple(sorted(entries, key=lambda one: one[0])), bool(hidden))

    def archive(self, wanted: ArchiveFilter | None = None) -> tuple[ArchiveRow, ...]:
        """Return what is settled, newest first."""
        asked = wanted or ArchiveFilter()
        with self._records.look() as r:
            found = [row for item in r.all(Item) for row in _rows(r, item) if _is_wanted(row, asked)]
        return tuple(sorted(found, key=lambda row: row.settled_at, reverse=True))


def _require_some(tries: tuple[Try, ...]) -> None:
    if not tries:
        msg = "There is no picture of this name: open it from the page of its inspection."
        raise NotFound(msg)


def _about(r: Reader, one: Try, person: Person) -> list[tuple[datetime, Entry]]:
    """What people placed on and signed of a try; others' placings only once it is settled."""
    settled = one.state is TryState.SETTLED
    placed = r.all(BlindReading, try_id=one.id)
    entries: list[tuple[datetime, Entry]] = [
        (blind.at, blind) for blind in placed if settled or blind.person_id == person.id
    ]
    signed = confirmation_of(r, one)
    return entries if signed is None else [*entries, (signed.signed_at, signed)]


def _rows(r: Reader, item: Item) -> list[ArchiveRow]:
    place = place_of(r, item)
    hands = tuple(sorted(r.all(HandReading, item_id=item.id), key=lambda one: one.at))
    rows = []
    for one in tries_of(r, item.id):
        if one.state is TryState.SETTLED and one.sent_at is not None:
            signed = confirmation_of(r, one)
            at = one.sent_at if signed is None else signed.signed_at
            # What is measured while another try waits is nothing for the eyes of who confirms that.
            shown = tuple(hand for hand in hands if item.state is not ItemState.WAITING or hand.at <= at)
            rows.append(ArchiveRow(place, at, one, signed, shown))
    if not rows and hands and item.state in (ItemState.CLOSED, ItemState.DISCREPANCY):
        rows.append(ArchiveRow(place, hands[-1].at, None, None, hands))
    return rows


def _is_wanted(row: ArchiveRow, asked: ArchiveFilter) -> bool:
    return (
        asked.registration in (None, row.place.aircraft.registration)
        and asked.position in (None, row.place.leg.position)
        and (asked.since is None or row.settled_at >= asked.since)
        and (asked.until is None or row.settled_at <= asked.until)
    )
