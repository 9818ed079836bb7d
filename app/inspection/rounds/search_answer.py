"""What was judged on searched photos becomes the answer of their item, and the second person's look."""

from collections.abc import Iterable, Mapping
from typing import Any

from app.errors import Conflict
from app.inspection.base import checked_text, new_id
from app.inspection.model import Item, ItemState, Person
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.closing import all_faulty
from app.inspection.rounds.common import (
    leg_in,
    leg_of,
    require_programme,
)
from app.inspection.rounds.model import (
    Answer,
    Finding,
    Judged,
    Look,
)
from app.inspection.rounds.search_entered import hand_light_of, hands_of
from app.inspection.rounds.search_hands import SearchHands
from app.inspection.rounds.search_kinds import looks_himself
from app.inspection.rounds.search_left import settled_tries
from app.inspection.rounds.search_rules import (
    finding_of,
    locks_by_hand,
    locks_on_photos,
)
from app.inspection.rounds.search_state import (
    REJECTED,
    coverages,
    hoses_of_leg,
    is_by_photo,
    is_rejected,
    limits_of_leg,
    photos_of,
    require_search_item,
    search_kind,
)
from app.inspection.rounds.search_unanswered import answered_by, of_others, unanswered_by_hand
from app.inspection.rounds.search_views import (
    DamageLimit,
    SearchedItem,
    SearchedPhoto,
    SearchedPlace,
)
from app.inspection.rounds.search_words import (
    by_hand_of,
    faults_of,
    reading_of,
    told_of,
    words_of,
    wrong_on,
)

_ANSWERED = "This item is answered."
JUDGED_ANEW = "Judged anew before the signature."


class SearchAnswers(SearchHands):
    """From what is judged and inspected by hand to the answer."""

    def searched_item(self, person: Person, item_id: str) -> SearchedItem:
        """Return everything on an item that a person may see now, and what keeps him from entering it.

        Raises
        ------
        Conflict
            It is not searched on photos.
        """
        with self._records.look() as r:
            item = r.get(Item, item_id)
            wanted, kind = require_search_item(r, item), search_kind(r, item)
            second, barred = self._is_second(r, person, item, wanted)
            hands, photos = hands_of(r, person, item, second=second), photos_of(r, person, item)
            coverage, light = coverages(r, item, hands), hand_light_of(hands)
            answer = current_answer(r, item.id)
            rejected = answer is None and is_rejected(r, item)
            look = None
            if answer is not None:
                look = next(iter(r.all(Look, answer_id=answer.id, person_id=person.id)), None)
            himself = second and looks_himself(wanted)
            if second:
                locks = locks_on_photos(photos, second=True, kind=kind)
                locks += locks_by_hand((), light, kind) if himself else ()
            elif answer is not None or item.state is not ItemState.TO_DO:
                locks = (_ANSWERED,)
            elif rejected:
                locks = (REJECTED,)
            else:
                locks = locks_on_photos(photos, second=False, kind=kind)
                locks += locks_by_hand(coverage, light, kind)
            counted = () if second and not himself else tuple(hands)
            wrong = unanswered_by_hand(r, item) if answer is None else ()
            others = tuple(one for one in wrong if one.person_id != person.id)
            finding, words = None, ""
            if not locks:
                finding = Finding.FAULT if others else finding_of(places_of(photos), counted)
                faults = faults_of(photos, counted, limits_of_leg(r, item), document_of(r, item), kind)
                words = words_of(finding, photos, () if second else coverage, counted, faults, kind)
            wear = tuple(dict.fromkeys(wrong_on(photos, (*counted, *others))))
            return SearchedItem(
                item, kind, hoses_of_leg(r, item), photos, coverage, light, locks, finding, words, wear,
                second, is_by_photo(answer), look, barred, rejected, himself, wrong, others,
            )  # fmt: skip

    def enter_search(
        self,
        person: Person,
        item_id: str,
        limits: Mapping[str, DamageLimit] | None = None,
        others: Mapping[str, Judged] | None = None,
    ) -> Answer:
        """Enter what was judged as the item's answer; what needs action opens its discrepancy at once.

        Parameters
        ----------
        limits : mapping of DamageLimit, optional
            By the hose's name, typed from its document; else those of the leg's data count.
        others : mapping of Judged, optional
            What other people's hands found (`SearchedItem.to_answer`), wear or fluid, by the entry's id.

        Raises
        ------
        NotAllowed
            The person answers for no work.
        Conflict
            Something is left (`SearchedItem.locks`), what another person's hand found is not answered, or
            the item is answered or not in its condition.
        UsageError
            A limit lacks its document or its words, or what a hand found is taken for what needs no action.
        """
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            wanted, stated = self._require_first(work, person, item)
            if current_answer(work, item.id) is not None:
                msg = "This item is answered: to change it, judge a place anew before you sign."
                raise Conflict(msg)
            hands, photos = hands_of(work, person, item), photos_of(work, person, item)
            coverage = coverages(work, item, hands)
            kind = search_kind(work, item)
            locks = locks_on_photos(photos, second=False, kind=kind)
            locks += locks_by_hand(coverage, hand_light_of(hands), kind)
            if locks:
                raise Conflict(locks[0])
            answered = answered_by(of_others(work, person, item), others)
            allowed = limits_of_leg(work, item) | checked_limits(limits)
            faults = faults_of(photos, hands, allowed, document_of(work, item), kind, answered)
            finding = Finding.FAULT if answered else finding_of(places_of(photos), hands)
            now = self._clock.now()
            before = _taken_back_by(work, person, item)
            made = Answer(
                new_id(), item.inspection_id, item.id, person.id, stated.id, finding,
                words_of(finding, photos, coverage, hands, faults, kind),
                reading_of(photos, faults, kind) | by_hand_of(coverage, hands, kind, answered),
                None, None, before, None if before is None else JUDGED_ANEW, None, None, now,
            )  # fmt: skip
            rows: list[Any] = [made]
            if finding is Finding.FAULT:
                rows += settled_tries(work, made, now)
                programme = require_programme(work, item.inspection_id)
                rows += all_faulty(work, programme, wanted, item, person, told_of(faults), now)
            work.enter("answered", person, item.inspection_id, *rows)
        return made


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
            checked_text(one.document, "The document that limits such damage"),
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
