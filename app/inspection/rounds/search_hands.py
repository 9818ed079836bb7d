"""What hand, mirror and light found beside searched photos: all round, where none searched, at one place."""

from typing import Any

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.base import checked_text, clean_text, new_id
from app.inspection.model import Item, ItemState, Person
from app.inspection.ports import Reader, Work
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import open_visit, require_condition, require_worker
from app.inspection.rounds.crew import require_may_look
from app.inspection.rounds.hose_pair import HosePairs
from app.inspection.rounds.looks import everybody_on
from app.inspection.rounds.model import Finding, HandEntry, HandKind, Judged, Judging, Look, Stated
from app.inspection.rounds.search_judging import taken_back
from app.inspection.rounds.search_kinds import HOSES, SURFACES, SearchKind, looks_himself
from app.inspection.rounds.search_ordinary import require_room_all_round
from app.inspection.rounds.search_state import (
    coverages,
    is_by_photo,
    photo_answer,
    place_in,
    require_not_own_photo,
    require_not_rejected,
    require_search_item,
    search_kind,
)
from app.inspection.rounds.search_words import WET
from app.programme import Item as ProgrammeItem


class SearchHands(HosePairs):
    """What is inspected by hand."""

    def hand_light(
        self, person: Person, item_id: str, doors: str, steering: str, finding: Finding, text: str = "",
        *, wet: bool = False,
    ) -> HandEntry:  # fmt: skip
        """Enter that all hoses were inspected by hand, mirror and light; entered again it counts anew.

        Of a surface it is `all_by_hand`.

        An ordinary answer asks for it too, and where photos did not stand it is done once more.

        Parameters
        ----------
        doors, steering : str
            How they stood at their extremes, or why there is none.
        wet : bool
            The fault is fluid: a leak's steps begin with its discrepancy.

        Raises
        ------
        Conflict
            The item is answered, or not in its condition.
        UsageError
            Something is not told, or a fault has no words.
        """
        told = {
            "doors": checked_text(doors, "How the doors stood at their extremes, or that none are,"),
            "steering": checked_text(steering, "How the steering stood at its extremes, or that none is,"),
        }
        with self._records.begin() as work:
            _require_kind(work, work.get(Item, item_id), HOSES)
            return self._hand(work, person, item_id, HandKind.ALL_ROUND, "", None, finding, text, told, wet)

    def all_by_hand(
        self, person: Person, item_id: str, how: str, finding: Finding, text: str = "", *, wet: bool = False
    ) -> HandEntry:
        """Enter that all of an item's surface was inspected by hand, mirror and light, and how.

        The second person enters it too where the item is seen at the aircraft, before his look is stored.
        Raises as `hand_light`.
        """
        told = {"how": checked_text(how, "How all of it was inspected by hand, mirror and light", 500)}
        with self._records.begin() as work:
            _require_kind(work, work.get(Item, item_id), SURFACES)
            return self._hand(work, person, item_id, HandKind.ALL_ROUND, "", None, finding, text, told, wet)

    def acknowledge(
        self, person: Person, item_id: str, hose: str, how: str, finding: Finding, text: str = "",
        *, wet: bool = False,
    ) -> HandEntry:  # fmt: skip
        """Enter how what the photos did not search of one hose was inspected instead, and what was found.

        It counts for what is not searched now: another photo asks for it anew.  Raises as `hand_light`.
        """
        clean = checked_text(how, "How what the photos did not search was inspected instead", 500)
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            stood = {one.hose: list(one.lines) for one in coverages(work, item, ())}
            if hose not in stood:
                msg = f"The leg's data have no hose {hose!r}: choose one of its hoses."
                if not search_kind(work, item).of_leg:
                    msg = f"The surface of this item has no part {hose!r}: what was not searched is one."
                raise UsageError(msg)
            told = {"how": clean, "stood": stood[hose]}
            kind = HandKind.NOT_SEARCHED
            return self._hand(work, person, item_id, kind, hose, None, finding, text, told, wet)

    def settle_by_hand(
        self, person: Person, try_id: str, place: str, finding: Finding, text: str, *, wet: bool = False
    ) -> HandEntry:
        """Enter what hand and mirror found at a place of which the photo cannot tell.

        Raises
        ------
        Conflict
            He has not judged so; or as `hand_light`.
        UsageError
            It is not told what was found.
        """
        words = checked_text(text, "What hand and mirror found there", 500)
        with self._records.begin() as work:
            this, photo = self._marked(work, person, try_id)
            place_in(photo, place)
            told = {"place": place}
            said = next(iter(work.all(Judging, try_id=this.id, person_id=person.id, place=place)), None)
            if said is None or said.judged is not Judged.CANNOT_TELL:
                msg = "You have not said that the photo cannot tell here: judge the place first."
                raise Conflict(msg)
            return self._hand(
                work, person, this.item_id, HandKind.SETTLES, "", said.id, finding, words, told, wet
            )

    def _is_second(self, r: Reader, person: Person, item: Item, wanted: ProgrammeItem) -> tuple[bool, str]:
        """Whether he is the second person on an item's photos, or what alone keeps him from it."""
        answer = photo_answer(r, item)
        if answer is None or item.state is not ItemState.WAITING or answer.person_id == person.id:
            return False, ""
        try:
            require_may_look(r, person, wanted, everybody_on(r, item), self._today())
        except NotAllowed:
            return False, ""
        try:
            require_not_own_photo(r, person, item)
        except NotAllowed as own:
            return False, str(own)
        return True, ""

    def _require_first(self, r: Reader, person: Person, item: Item) -> tuple[ProgrammeItem, Stated]:
        open_visit(r, item.inspection_id)
        wanted = require_search_item(r, item)
        require_worker(person)
        stated = require_condition(r, person, item, wanted)
        require_not_rejected(r, item)
        if item.state is not ItemState.TO_DO:
            msg = "This item is answered: to change the answer, correct it and say why."
            raise Conflict(msg)
        return wanted, stated

    def _hand(
        self, work: Work, person: Person, item_id: str, kind: HandKind, hose: str, judging_id: str | None,
        finding: Finding, text: str, told: dict[str, Any], wet: bool,
    ) -> HandEntry:  # fmt: skip
        """Enter one inspection by hand, or change the person's own."""
        if finding not in (Finding.GOOD, Finding.FAULT):
            msg = "By hand there is only nothing to act on, or a fault: what cannot be told there is a fault"
            raise UsageError(msg)
        words = clean_text(text)[:500]
        if finding is Finding.FAULT:
            checked_text(words, "What is wrong", 500)
        elif wet:
            msg = "What is wet needs action: say that something is wrong, and what."
            raise UsageError(msg)
        item = work.get(Item, item_id)
        if kind is HandKind.ALL_ROUND:
            self._require_room_all_round(work, person, item)
            _require_not_answered_well(work, item, finding)
        else:
            self._require_first(work, person, item)
            _require_open_answer(work, person, item)
        alike = {"kind": kind, "hose": hose, "judging_id": judging_id}
        before = next(iter(work.all(HandEntry, item_id=item.id, person_id=person.id, **alike)), None)
        now = self._clock.now()
        made = HandEntry(
            new_id() if before is None else before.id, item.id, person.id, kind, hose, judging_id, finding,
            words, told | ({WET: True} if wet else {}), now,
        )  # fmt: skip
        work.enter("by-hand", person, item.inspection_id, made, *taken_back(work, person, item, now))
        return made

    def _require_room_all_round(self, r: Reader, person: Person, item: Item) -> None:
        """Refuse hand, mirror and light but of who answers the item, or looks at it himself as the second."""
        open_visit(r, item.inspection_id)
        wanted = require_search_item(r, item)
        second, _ = self._is_second(r, person, item, wanted)
        if not (second and looks_himself(wanted)):
            require_room_all_round(r, person, item)
            return
        require_condition(r, person, item, wanted)
        answer = photo_answer(r, item)
        if answer is not None and r.all(Look, answer_id=answer.id, person_id=person.id):
            msg = "You have looked at this, and what you found stays: sign it."
            raise Conflict(msg)


def _require_not_answered_well(r: Reader, item: Item, finding: Finding) -> None:
    """Refuse a fault beside an ordinary answer by which nothing is wrong, under which it would be lost."""
    answer = current_answer(r, item.id)
    stands = answer is not None and not is_by_photo(answer) and answer.finding is not Finding.FAULT
    if finding is Finding.FAULT and stands:
        msg = "This item is answered: to change the answer, correct it and say why."
        raise Conflict(msg)


def _require_open_answer(r: Reader, person: Person, item: Item) -> None:
    answer = current_answer(r, item.id)
    if answer is not None and (answer.person_id != person.id or answer.signature_id is not None):
        msg = "This item is answered: to change the answer, correct it and say why."
        raise Conflict(msg)


def _require_kind(r: Reader, item: Item, kind: SearchKind) -> None:
    if search_kind(r, item) is not kind:
        msg = f"This item is not about {kind.these}: enter by hand, mirror and light what its page asks for."
        raise Conflict(msg)
