"""Searched photos marked bare, then each of their places opened and judged, one act at a time."""

from collections.abc import Sequence as Some
from dataclasses import replace
from datetime import datetime
from typing import Any

from app.errors import Conflict, UsageError
from app.inspection.base import clean_text, new_id
from app.inspection.model import Item, ItemState, Person, Try, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.batches import TAKEN_BACK, current_answer
from app.inspection.rounds.common import open_visit, require_worker
from app.inspection.rounds.crew import require_may_look
from app.inspection.rounds.hose_pair_rules import is_second
from app.inspection.rounds.looks import everybody_on
from app.inspection.rounds.model import Answer, BareMarking, Finding, Judged, Judging, Look, PlaceOpened
from app.inspection.rounds.search_photo import SearchPhotos
from app.inspection.rounds.search_rules import is_search_photo, is_shown
from app.inspection.rounds.search_shown import point_of
from app.inspection.rounds.search_state import (
    has_marks,
    is_by_photo,
    is_still_blind,
    photo_answer,
    photo_of,
    place_in,
    require_not_own_photo,
    require_not_rejected,
    require_search_item,
    search_tries,
)
from app.inspection.rounds.search_views import BareMark, PlaceKind, PlaceShown, SearchedPhoto, SearchedPlace

_MOST_MARKS = 40
_ANSWERED_WITHOUT = (
    "You answered this without photos: what is wrong on one is entered by correcting that answer."
)
_LOOK_WITHOUT = "This was not answered with photos: look at it yourself, by hand and mirror."


class SearchJudgings(SearchPhotos):
    """From the bare photo to the judgement of each of its places."""

    def mark_bare(
        self, person: Person, try_id: str, marks: Some[BareMark], none_seen: bool = False
    ) -> BareMarking:
        """Keep what a person sees himself on the bare photo: once, and before anything found is shown to him.

        Parameters
        ----------
        none_seen : bool
            He states that he sees none on the bare photo.  That says nothing of the hose.

        Raises
        ------
        NotAllowed
            He may not judge this item.
        Conflict
            He has marked this photo, it has not arrived, or nothing is shown on it yet.
        UsageError
            Marks and "none" together, neither, too many, or a point that is none.
        """
        if bool(marks) == none_seen:
            msg = "Mark what you see on the bare photo, or say that you see none there: one of the two."
            raise UsageError(msg)
        if len(marks) > _MOST_MARKS:
            msg = f"At most {_MOST_MARKS} marks a photo, and {len(marks)} came: mark places, not each speck."
            raise UsageError(msg)
        kept = tuple(_kept(one) for one in marks)
        with self._records.begin() as work:
            this = work.get(Try, try_id)
            item = work.get(Item, this.item_id)
            self._require_may_judge(work, person, item)
            marked = has_marks(work, this) or is_still_blind(work, person, this)
            failed = this.state is TryState.FAILED and not marked
            if is_second(this) or this.photo is None or not is_shown(this) or failed:
                what = "photo of hoses" if is_second(this) else "photo"
                msg = f"There is no {what} to mark here: it has not arrived, or could not be searched."
                raise Conflict(msg)
            if work.all(BareMarking, try_id=this.id, person_id=person.id):
                msg = "You have marked this photo, and what you saw stays: judge its places."
                raise Conflict(msg)
            made = BareMarking(new_id(), this.id, person.id, kept, none_seen, self._clock.now())
            work.enter("marked-bare", person, item.inspection_id, made)
        return made

    def open_place(self, person: Person, try_id: str, place: str) -> SearchedPlace:
        """Keep that a person is shown one place; something set aside is thereby brought back to be judged.

        Opened again it changes nothing.

        Raises
        ------
        Conflict
            He has not marked the bare photo, or it has no such place.
        """
        with self._records.begin() as work:
            this, photo = self._marked(work, person, try_id)
            found, item = place_in(photo, place), work.get(Item, this.item_id)
            if not found.opened and photo.marking is not None:
                self._require_may_judge(work, person, item)
                made = PlaceOpened(new_id(), this.id, person.id, place, photo.marking.id, self._clock.now())
                kind = "brought-back" if found.kind is PlaceKind.ASIDE else "place-opened"
                rows = taken_back(work, person, item, self._clock.now())
                work.enter(kind, person, item.inspection_id, made, *rows)
        with self._records.look() as r:
            return place_in(self._marked(r, person, try_id)[1], place)

    def judge(self, person: Person, try_id: str, place: str, judged: Judged, text: str = "") -> Judging:
        """Enter what a person takes one opened place for; before the signature it can be changed again.

        Where he has entered the item and not signed, his answer is taken back with it.

        Raises
        ------
        NotAllowed
            He may not judge this item.
        Conflict
            He has not opened this place, or the item is signed or settled.
        """
        words = clean_text(text)[:500]
        with self._records.begin() as work:
            this, photo = self._marked(work, person, try_id)
            item = work.get(Item, this.item_id)
            self._require_may_judge(work, person, item)
            place_in(photo, place)
            opened = next(iter(work.all(PlaceOpened, try_id=this.id, person_id=person.id, place=place)), None)
            if opened is None:
                msg = "You have not looked at this place: open it, then judge it."
                raise Conflict(msg)
            said = next(iter(work.all(Judging, try_id=this.id, person_id=person.id, place=place)), None)
            now = self._clock.now()
            made = Judging(
                new_id() if said is None else said.id,
                this.id, person.id, place, opened.id, Judged(judged), words, now,
            )  # fmt: skip
            if said is not None and (said.judged, said.text) == (made.judged, made.text):
                return said
            rows: list[Any] = [made, *taken_back(work, person, item, now)]
            work.enter("judged" if said is None else "judged-anew", person, item.inspection_id, *rows)
        return made

    def place_shown(self, person: Person, try_id: str, place: str) -> PlaceShown:
        """Return what a picture of one place is drawn from; raises as `open_place`."""
        with self._records.look() as r:
            this, photo = self._marked(r, person, try_id)
            found = place_in(photo, place)
            result = this.result or {}
            hoses = result.get("hoses", ())
            hose = hoses[found.hose] if 0 <= found.hose < len(hoses) else None
            return PlaceShown(this.photo or "", hose, found.outline_px, result.get("surface"))

    def hose_shown(self, person: Person, try_id: str, hose: int) -> PlaceShown:
        """Return what a picture of a whole hose of a photo is drawn from; raises as `open_place`."""
        with self._records.look() as r:
            this, photo = self._marked(r, person, try_id)
            hoses = (this.result or {}).get("hoses", ())
            if photo.marking is None or not 0 <= hose < len(hoses):
                msg = "No such hose is to be shown of this photo: mark the bare photo first."
                raise Conflict(msg)
            return PlaceShown(this.photo or "", hoses[hose])

    def surface_shown(self, person: Person, try_id: str) -> PlaceShown:
        """Return what a picture of a photo's whole region is drawn from; raises as `open_place`."""
        with self._records.look() as r:
            this, photo = self._marked(r, person, try_id)
            surface = (this.result or {}).get("surface")
            if photo.marking is None or surface is None:
                msg = "No region is to be shown of this photo: mark the bare photo first."
                raise Conflict(msg)
            return PlaceShown(this.photo or "", None, (), surface)

    def _marked(self, r: Reader, person: Person, try_id: str) -> tuple[Try, SearchedPhoto]:
        this = r.get(Try, try_id)
        if not is_search_photo(this) or is_second(this):
            what = "hoses" if is_second(this) else "hoses or a surface"
            msg = f"There is no photo of {what} here: go to the item in its round."
            raise Conflict(msg)
        return this, photo_of(r, person, this, search_tries(r, r.get(Item, this.item_id)))

    def _require_may_judge(self, r: Reader, person: Person, item: Item) -> None:
        """Refuse who may neither answer the item now nor look at it a second time."""
        open_visit(r, item.inspection_id)
        wanted = require_search_item(r, item)
        require_not_rejected(r, item)
        answer = current_answer(r, item.id)
        if answer is None and item.state is ItemState.TO_DO:
            require_worker(person)
            return
        if item.state not in (ItemState.TO_DO, ItemState.WAITING) or answer is None:
            msg = "This item is settled, and what was judged on it stays."
            raise Conflict(msg)
        # Judged under an ordinary answer, wear would stand beside it and be in nobody's answer.
        if not is_by_photo(answer):
            own = answer.person_id == person.id
            raise Conflict(_ANSWERED_WITHOUT if own else _LOOK_WITHOUT)
        if answer.person_id == person.id:
            if answer.signature_id is not None:
                msg = "You have signed this, and what you judged stays: what you now find is a correction."
                raise Conflict(msg)
            return
        require_may_look(r, person, wanted, everybody_on(r, item), self._today())
        require_not_own_photo(r, person, item)
        if r.all(Look, answer_id=answer.id, person_id=person.id):
            msg = "You have looked at this, and what you found stays: sign it."
            raise Conflict(msg)


def _kept(mark: BareMark) -> dict[str, Any]:
    x, y = point_of(mark.x, mark.y)
    return {"x": x, "y": y, "text": clean_text(mark.text)[:200]}


def taken_back(r: Reader, person: Person, item: Item, now: datetime) -> list[Answer]:
    """Return what takes back a person's own unsigned answer whose judgements change."""
    answer = photo_answer(r, item)
    if answer is None or answer.person_id != person.id:
        return []
    return [
        replace(
            answer, id=new_id(), finding=Finding.UNDECIDED, text=TAKEN_BACK, reading=None,
            supersedes=answer.id, reason=TAKEN_BACK, at=now,
        )
    ]  # fmt: skip
