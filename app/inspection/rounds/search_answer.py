"""What was judged on photos of hoses becomes the answer of their item, and the second person's look."""

from collections.abc import Iterable, Mapping
from typing import Any

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection.base import checked_text, clean_text, new_id
from app.inspection.model import Item, ItemState, Person
from app.inspection.ports import Reader, Work
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.closing import all_faulty
from app.inspection.rounds.common import (
    leg_in,
    leg_of,
    open_visit,
    require_condition,
    require_programme,
    require_worker,
)
from app.inspection.rounds.crew import require_may_look
from app.inspection.rounds.hose_pair import HosePairs
from app.inspection.rounds.looks import everybody_on
from app.inspection.rounds.model import (
    Answer,
    Finding,
    HandEntry,
    HandKind,
    Judged,
    Judging,
    Look,
    Stated,
)
from app.inspection.rounds.search_judging import taken_back
from app.inspection.rounds.search_left import settled_tries
from app.inspection.rounds.search_ordinary import require_room_all_round
from app.inspection.rounds.search_rules import (
    finding_of,
    locks_by_hand,
    locks_on_photos,
)
from app.inspection.rounds.search_state import (
    REJECTED,
    coverages,
    hand_light_of,
    hands_of,
    hoses_of_leg,
    is_by_photo,
    is_rejected,
    limits_of_leg,
    photo_answer,
    photos_of,
    place_in,
    require_not_own_photo,
    require_not_rejected,
    require_search_item,
)
from app.inspection.rounds.search_views import (
    DamageLimit,
    SearchedItem,
    SearchedPhoto,
    SearchedPlace,
)
from app.inspection.rounds.search_words import (
    WET,
    by_hand_of,
    faults_of,
    reading_of,
    told_of,
    words_of,
    wrong_on,
)
from app.programme import Item as ProgrammeItem

_ANSWERED = "This item is answered."
JUDGED_ANEW = "Judged anew before the signature."


class SearchAnswers(HosePairs):
    """Hands, the first answer, the second person's own."""

    def searched_item(self, person: Person, item_id: str) -> SearchedItem:
        """Return everything on an item that a person may see now, and what keeps him from entering it.

        Raises
        ------
        Conflict
            It is not searched on photos of hoses.
        """
        with self._records.look() as r:
            item = r.get(Item, item_id)
            wanted = require_search_item(r, item)
            hands, photos = hands_of(r, person, item), photos_of(r, person, item)
            coverage, light = coverages(r, item, hands), hand_light_of(hands)
            answer = current_answer(r, item.id)
            second, barred = self._is_second(r, person, item, wanted)
            rejected = answer is None and is_rejected(r, item)
            look = None
            if answer is not None:
                look = next(iter(r.all(Look, answer_id=answer.id, person_id=person.id)), None)
            if second:
                locks = locks_on_photos(photos, second=True)
            elif answer is not None or item.state is not ItemState.TO_DO:
                locks = (_ANSWERED,)
            elif rejected:
                locks = (REJECTED,)
            else:
                locks = locks_on_photos(photos, second=False) + locks_by_hand(coverage, light)
            counted = () if second else tuple(hands)
            finding, words = None, ""
            if not locks:
                finding = finding_of(places_of(photos), counted)
                faults = faults_of(photos, counted, limits_of_leg(r, item), document_of(r, item))
                words = words_of(finding, photos, () if second else coverage, counted, faults)
            wear = tuple(dict.fromkeys(wrong_on(photos, counted)))
            return SearchedItem(
                item, hoses_of_leg(r, item), photos, coverage, light, locks, finding, words, wear, second,
                is_by_photo(answer), look, barred, rejected,
            )  # fmt: skip

    def hand_light(
        self, person: Person, item_id: str, doors: str, steering: str, finding: Finding, text: str = "",
        *, wet: bool = False,
    ) -> HandEntry:  # fmt: skip
        """Enter that all hoses were inspected by hand, mirror and light; entered again it counts anew.

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

    def enter_search(
        self, person: Person, item_id: str, limits: Mapping[str, DamageLimit] | None = None
    ) -> Answer:
        """Enter what was judged as the item's answer; what needs action opens its discrepancy at once.

        Parameters
        ----------
        limits : mapping of DamageLimit, optional
            By the hose's name, typed from its document; else those of the leg's data count.

        Raises
        ------
        NotAllowed
            The person answers for no work.
        Conflict
            Something is left (`SearchedItem.locks`), or the item is answered or not in its condition.
        UsageError
            A limit lacks its document or its words.
        """
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            wanted, stated = self._require_first(work, person, item)
            if current_answer(work, item.id) is not None:
                msg = "This item is answered: to change it, judge a place anew before you sign."
                raise Conflict(msg)
            hands, photos = hands_of(work, person, item), photos_of(work, person, item)
            coverage = coverages(work, item, hands)
            locks = locks_on_photos(photos, second=False) + locks_by_hand(coverage, hand_light_of(hands))
            if locks:
                raise Conflict(locks[0])
            allowed = limits_of_leg(work, item) | checked_limits(limits)
            faults = faults_of(photos, hands, allowed, document_of(work, item))
            finding, now = finding_of(places_of(photos), hands), self._clock.now()
            before = _taken_back_by(work, person, item)
            made = Answer(
                new_id(), item.inspection_id, item.id, person.id, stated.id, finding,
                words_of(finding, photos, coverage, hands, faults),
                reading_of(photos, faults) | by_hand_of(coverage, hands),
                None, None, before, None if before is None else JUDGED_ANEW, None, None, now,
            )  # fmt: skip
            rows: list[Any] = [made]
            if finding is Finding.FAULT:
                rows += settled_tries(work, made, now)
                programme = require_programme(work, item.inspection_id)
                rows += all_faulty(work, programme, wanted, item, person, told_of(faults), now)
            work.enter("answered", person, item.inspection_id, *rows)
        return made

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
            require_room_all_round(work, person, item)
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


def _require_open_answer(r: Reader, person: Person, item: Item) -> None:
    answer = current_answer(r, item.id)
    if answer is not None and (answer.person_id != person.id or answer.signature_id is not None):
        msg = "This item is answered: to change the answer, correct it and say why."
        raise Conflict(msg)


def places_of(photos: Iterable[SearchedPhoto]) -> list[SearchedPlace]:
    """Return the places of all photos."""
    return [place for photo in photos for place in photo.places]


def document_of(r: Reader, item: Item) -> str:
    """Return the document of the leg's data, which is asked where a hose's limits are not given."""
    entry = leg_of(r, item)
    return leg_in(entry.toml, entry.position).document


def checked_limits(limits: Mapping[str, DamageLimit] | None) -> dict[str, DamageLimit]:
    """Return limits that were typed in.

    Raises
    ------
    UsageError
        One lacks its document or its words.
    """
    return {
        hose: DamageLimit(
            checked_text(one.document, "The document that limits damage to a hose"),
            checked_text(one.allows, "What the document allows", 500),
        )
        for hose, one in (limits or {}).items()
    }


def _taken_back_by(r: Reader, person: Person, item: Item) -> str | None:
    """The person's own answer that he took back before he signed it."""
    answers = r.all(Answer, item_id=item.id)
    superseded = {one.supersedes for one in answers}
    found = [
        one.id
        for one in answers
        if one.id not in superseded and one.person_id == person.id and one.signature_id is None
    ]
    return found[0] if found else None
