"""A tire's photo read once more: the second person places his points on the bare photo.

His placing is his look, so it is signed with his batch.
"""

from collections.abc import Sequence as Some
from dataclasses import dataclass
from datetime import datetime

from app.errors import Conflict, NotAllowed
from app.inspection.base import new_id, place_of, tries_of
from app.inspection.model import Item, Person, Pixel, Try
from app.inspection.ports import Reader
from app.inspection.rounds.common import own_look, programme_item, require_programme
from app.inspection.rounds.looks import Looks
from app.inspection.rounds.model import Answer, Finding, Look
from app.inspection.rounds.second import readings_agree
from app.inspection.rounds.tire_gauge import is_tire_photo
from app.inspection.rounds.tire_rules import ARC, LINE, asked_of, try_of_answer
from app.inspection.rounds.tire_sight import knows
from app.inspection.rounds.tire_wheel import asked_on_wheel, is_tire_try, photos_of_wheel, read_of
from app.inspection.views import Place
from app.programme import SeenFrom
from vision.results import Limits, Verdict
from vision.verdict import judge

MARKS = {LINE: ("line, left end", "line, right end"), ARC: ("mark on the tire", "mark on the rim")}
"""What the second person places for each result, in order."""


@dataclass(frozen=True)
class BareTire:
    """All that the second person is given before he has placed his own points on a tire's photo.

    Attributes
    ----------
    labels : tuple of str
        What each of his marks is to be placed on.
    mine : Look or None
        His own look, once he has placed them or looked at the wheel.
    """

    photo: str
    place: Place
    asked: str
    labels: tuple[str, ...]
    performer: Person
    statements: tuple[str, ...]
    mine: Look | None


@dataclass(frozen=True)
class OtherPhoto:
    """A photo of a tire's item that its answer does not stand on.

    Attributes
    ----------
    own : Finding
        By eye at the wheel, before the photo was read.
    verdict : Verdict or None
        On what the item asks; None where it gave none, or was not taken.
    """

    at: datetime
    performer: Person
    own: Finding
    verdict: Verdict | None


class TirePlacing(Looks):
    """From the bare photo to the second person's look."""

    def other_photos(self, person: Person, look_id: str) -> tuple[OtherPhoto, ...]:
        """Return the photos of an item beside the one it is answered with, to who has looked at it himself.

        Empty where it is no tire's, or no other was begun.

        Raises
        ------
        NotAllowed
            It is another person's look.
        """
        with self._records.look() as r:
            mine = own_look(r, person, look_id)
            answer = r.get(Answer, mine.answer_id)
            return tuple(
                self._other_photo(one)
                for one in tries_of(r, answer.item_id)
                if is_tire_try(one) and one.id != try_of_answer(answer)
            )

    def _other_photo(self, one: Try) -> OtherPhoto:
        verdict = read_of(one, str(one.options["asked"])).get("verdict")
        return OtherPhoto(
            one.begun_at,
            self._people.find(one.performer_id),
            Finding(one.options["own"]),
            None if verdict is None else Verdict(verdict),
        )

    def bare_tire(self, person: Person, item_id: str) -> BareTire | None:
        """Return the photo that an item is answered with, for the second person to place his points on.

        None where it was answered without one, or is seen at the aircraft only.

        Raises
        ------
        NotAllowed, Conflict
            As `look`; NotAllowed also where a photo of the wheel that he took himself reads it.
        """
        with self._records.look() as r:
            item = r.get(Item, item_id)
            if not is_tire_photo(programme_item(r, require_programme(r, item.inspection_id), item)):
                return None
            answer, wanted = self._require_may_look(r, person, item)
            try_id = try_of_answer(answer)
            if try_id is None or wanted.seen_from is not SeenFrom.PHOTO:
                return None
            this = r.get(Try, try_id)
            _require_unknowing(r, person, item)
            asked = asked_of(wanted)
            mine = next(iter(r.all(Look, answer_id=answer.id, person_id=person.id)), None)
            return BareTire(
                this.photo or "",
                place_of(r, item),
                asked,
                MARKS[asked],
                self._people.find(this.performer_id),
                this.statements,
                mine,
            )

    def look_at_photo(self, person: Person, item_id: str, marks: Some[Pixel]) -> Look:
        """Enter what the second person placed on the bare photo; one for each person and answer; it stays.

        Raises
        ------
        NotAllowed, Conflict
            As `bare_tire`; Conflict also where he has looked, or there is no photo to place on.
        GearwitnessError
            The points cannot be those on this photo.
        """
        with self._records.look() as r:
            asked = self._require_may_place_on(r, person, item_id)[1]
        name = str(asked.options["asked"])
        placed = self._measurer.placed_on_tire(asked.result or {}, name, marks)
        with self._records.begin() as work:
            answer, asked = self._require_may_place_on(work, person, item_id)
            first = answer.reading or {}
            limits = Limits(first["lower"], first["upper"], first["document"])
            reading = {
                name: first[name] for name in ("name", "quantity", "unit", "lower", "upper", "document")
            } | {
                "value": float(placed.value),
                "expanded_u": float(placed.expanded_u),
                "difference_u": float(placed.difference_u),
                "verdict": (judge(placed.value, placed.expanded_u, limits) or Verdict.UNDECIDED).value,
                "placed_px": [[float(x), float(y)] for x, y in marks],
                "placed_on": asked.id,
            }
            finding = Finding.GOOD if readings_agree(first, reading) else Finding.UNDECIDED
            made = Look(
                new_id(), answer.inspection_id, answer.id, answer.person_id, person.id, finding, "", reading,
                None, "photo", None, None, self._clock.now(),
            )  # fmt: skip
            work.enter("looked", person, answer.inspection_id, made)
        return made

    def _require_may_place_on(self, r: Reader, person: Person, item_id: str) -> tuple[Answer, Try]:
        item = r.get(Item, item_id)
        answer, wanted = self._require_may_look(r, person, item)
        try_id = try_of_answer(answer)
        if try_id is None or wanted.seen_from is not SeenFrom.PHOTO:
            msg = "This was not answered with a photo that is read from here: look at the wheel yourself."
            raise Conflict(msg)
        _require_unknowing(r, person, item)
        if r.all(Look, answer_id=answer.id, person_id=person.id):
            msg = "You have looked at this, and what you found stays: sign it."
            raise Conflict(msg)
        return answer, r.get(Try, try_id)


def _require_unknowing(r: Reader, person: Person, item: Item) -> None:
    asked = dict((one.id, name) for one, name in asked_on_wheel(r, item))[item.id]
    if knows(person, photos_of_wheel(r, item), asked):
        msg = "You photographed this tire yourself and know its reading: another person has to look."
        raise NotAllowed(msg)
