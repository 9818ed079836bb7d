"""The second person's own judgements of searched photos, and both people's side by side."""

from collections.abc import Mapping

from app.errors import Conflict
from app.inspection.base import new_id
from app.inspection.model import Item, Person, Try
from app.inspection.ports import Reader
from app.inspection.rounds.common import own_look
from app.inspection.rounds.model import Answer, Judged, Judging, Look
from app.inspection.rounds.search_answer import SearchAnswers, checked_limits, document_of, places_of
from app.inspection.rounds.search_entered import hand_light_of, hands_of
from app.inspection.rounds.search_kinds import looks_himself
from app.inspection.rounds.search_rules import finding_of, locks_by_hand, locks_on_photos
from app.inspection.rounds.search_state import (
    is_by_photo,
    limits_of_leg,
    photos_of,
    require_not_own_photo,
    require_search_item,
    search_kind,
)
from app.inspection.rounds.search_views import ComparedPlace, DamageLimit, SearchCompared
from app.inspection.rounds.search_words import by_hand_of, faults_of, reading_of, words_of
from app.inspection.rounds.second import look_outcome


class SearchSeconds(SearchAnswers):
    """A second look at searched photos."""

    def look_at_search(
        self, person: Person, item_id: str, limits: Mapping[str, DamageLimit] | None = None
    ) -> Look:
        """Keep the second person's own judgements as his look, before they are held against the first ones.

        Raises
        ------
        NotAllowed
            Own work, no authorisation for this item today, or he took one of its photos.
        Conflict
            The item does not wait on photos, something is left, he has not inspected by hand what is seen
            at the aircraft, or he has looked.
        """
        with self._records.begin() as work:
            item = work.get(Item, item_id)
            kind, himself = search_kind(work, item), looks_himself(require_search_item(work, item))
            answer, _ = self._require_may_look(work, person, item)
            require_not_own_photo(work, person, item)
            if not is_by_photo(answer):
                msg = "This was not answered with photos: look at it yourself, by hand and mirror."
                raise Conflict(msg)
            if work.all(Look, answer_id=answer.id, person_id=person.id):
                msg = "You have looked at this, and what you found stays: sign it."
                raise Conflict(msg)
            photos = photos_of(work, person, item)
            hands = hands_of(work, person, item, second=True) if himself else ()
            locks = locks_on_photos(photos, second=True, kind=kind)
            locks += locks_by_hand((), hand_light_of(hands), kind) if himself else ()
            if locks:
                raise Conflict(locks[0])
            allowed = limits_of_leg(work, item) | checked_limits(limits)
            faults = faults_of(photos, hands, allowed, document_of(work, item), kind)
            finding = finding_of(places_of(photos), hands)
            told = reading_of(photos, faults, kind) | (by_hand_of((), hands, kind) if himself else {})
            made = Look(
                new_id(), item.inspection_id, answer.id, answer.person_id, person.id, finding,
                words_of(finding, photos, (), hands, faults, kind), told,
                None, "aircraft" if himself else "photo", None, None, self._clock.now(),
            )  # fmt: skip
            work.enter("looked", person, item.inspection_id, made)
        return made

    def compared_search(self, person: Person, look_id: str) -> SearchCompared:
        """Return a person's own judgements beside the first one's, once his look is stored.

        Raises
        ------
        NotAllowed
            It is another person's look.
        Conflict
            It was not made on photos.
        """
        with self._records.look() as r:
            mine = own_look(r, person, look_id)
            if not is_by_photo(mine):
                msg = "This look was not made on photos: it is compared with the others."
                raise Conflict(msg)
            first = r.get(Answer, mine.answer_id)
            rows = [
                ComparedPlace(
                    photo.try_.id, place, place.judged, _by(r, first.person_id, photo.try_, place.key)
                )
                for photo in photos_of(r, person, r.get(Item, first.item_id))
                for place in photo.places
            ]
            outcome = look_outcome(first.finding, first.reading, mine.finding, mine.reading)
            return SearchCompared(outcome, tuple(rows))


def _by(r: Reader, person_id: str, this: Try, place: str) -> Judged | None:
    said = next(iter(r.all(Judging, try_id=this.id, person_id=person_id, place=place)), None)
    return None if said is None else said.judged
