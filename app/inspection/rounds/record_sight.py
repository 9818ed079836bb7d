"""What of an open visit's record a reader is told: nothing that he may yet have to find himself.

===================================  ==============================================
in the record of an open visit       told to
===================================  ==============================================
a fault, everything on an item that  everybody
is closed or stands on its fault
an answer by eye, count or gauge     who gave or supervised it, who has answered a
                                     second time, who may not be the second person
what was judged on searched photos   who judged: till the second look is signed, or
                                     nothing of these photos is left to judge
a photo's result, and what others    as on every page (`app.inspection.rounds.sight`)
placed or measured beside it
===================================  ==============================================

Where the reader is not known, as on a file that goes from hand to hand, he may be anybody.
A closed visit and the record that is signed hold all of it.
"""

from dataclasses import dataclass
from datetime import date
from typing import Any

from app.errors import NotAllowed
from app.inspection.canonical import plain
from app.inspection.model import BlindReading, HandReading, Inspection, Item, ItemState, Person, Try, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.batches import only_takes_back
from app.inspection.rounds.common import programme_item, require_programme
from app.inspection.rounds.crew import require_may_look
from app.inspection.rounds.looks import everybody_on
from app.inspection.rounds.model import Answer, Finding, Look
from app.inspection.rounds.search_left import left_to_judge
from app.inspection.rounds.search_state import is_by_photo
from app.inspection.rounds.sight import bare_of, sees_result
from app.inspection.rounds.tire_sight import left_to_read
from app.inspection.rounds.tire_wheel import is_tire_try

WITHHELD = "Withheld: told after the second look."
"""What stands for an answer, and beside a photo, that is not told yet; stored in records."""

_SETTLED = (ItemState.CLOSED, ItemState.DISCREPANCY)


@dataclass(frozen=True)
class RecordSight:
    """One reader of one visit's record.

    Attributes
    ----------
    person : Person or None
        None where it is not known who will read it.
    whole : bool
        Everything is told: it is what is signed off.
    """

    r: Reader
    visit: Inspection
    person: Person | None
    today: date
    whole: bool = False

    @property
    def tells_all(self) -> bool:
        """Whether nothing is withheld."""
        return self.whole or self.visit.closed_at is not None

    def answer(self, item: Item, one: Answer) -> dict[str, Any]:
        """Return an answer as plain values; one that is withheld without what it found."""
        if self._tells(item, one):
            return dict(plain(one))
        return {**plain(one), "finding": "withheld", "text": WITHHELD, "reading": None}

    def _tells(self, item: Item, one: Answer) -> bool:
        if self.tells_all or one.finding is Finding.FAULT or only_takes_back(one):
            return True
        looks = self.r.all(Look, answer_id=one.id)
        if any(look.signature_id for look in looks):
            return True
        by_photo = is_by_photo(one)
        if item.state in _SETTLED and not (by_photo and left_to_judge(self.r, item)):
            return True
        if self.person is None:
            return False
        gave = {one.person_id, one.supervisor_id} | {look.person_id for look in looks}
        return self.person.id in gave or (not by_photo and not self._may_look(item))

    def _may_look(self, item: Item) -> bool:
        wanted = programme_item(self.r, require_programme(self.r, item.inspection_id), item)
        try:
            require_may_look(self.r, self._reader, wanted, everybody_on(self.r, item), self.today)
        except NotAllowed:
            return False
        return True

    @property
    def _reader(self) -> Person:
        assert self.person is not None
        return self.person

    def hides(self, item: Item, one: Try) -> bool:
        """Return whether what was read or found on a photo is withheld."""
        if self.tells_all or one.photo is None:
            return False
        if self.person is not None:
            return not sees_result(self.r, self.person, one)
        if is_tire_try(one) and left_to_read(self.r, None, one):
            return True
        return one.state is not TryState.SETTLED and item.state is not ItemState.CLOSED

    def photo(self, item: Item, one: Try) -> Try:
        """Return a try as the reader may see it."""
        return bare_of(one) if self.hides(item, one) else one

    def placed(self, one: Try) -> tuple[BlindReading, ...]:
        """Return what people placed on a photo: others' placings once it is settled."""
        found = self.r.all(BlindReading, try_id=one.id)
        if self.tells_all or one.state is TryState.SETTLED:
            return found
        return tuple(each for each in found if self._is_mine(each.person_id))

    def hands(self, item: Item, tries: tuple[Try, ...]) -> tuple[HandReading, ...]:
        """Return hand measurements of a strut: others' while no photo of it is withheld."""
        found = self.r.all(HandReading, item_id=item.id)
        hidden = any(self.hides(item, one) for one in tries)
        return tuple(each for each in found if not hidden or self._is_mine(each.person_id))

    def _is_mine(self, person_id: str) -> bool:
        return self.person is not None and self.person.id == person_id
