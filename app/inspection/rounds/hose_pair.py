"""A second photo of the same hoses, begun beside one that was searched; it goes the way of every other."""

from app.errors import Conflict
from app.inspection.base import require_mechanic
from app.inspection.model import Item, Person, Try, TryState
from app.inspection.rounds.hose_pair_rules import MOVE, SECOND_OF, seconds_of, why_no_second
from app.inspection.rounds.search_judging import SearchJudgings
from app.inspection.rounds.search_kinds import HOSES
from app.inspection.rounds.search_photo import begun
from app.inspection.rounds.search_state import search_tries


class HosePairs(SearchJudgings):
    """From a photo's flags to the second photo that sets those aside which slide."""

    def begin_second_photo(self, person: Person, try_id: str) -> Try:
        """Begin a second photo of the same hoses, from further along them; gone on with where his is begun.

        Raises
        ------
        NotAllowed
            The person is no mechanic.
        Conflict
            The item is answered or not in its condition, he has not marked the first photo bare, none of
            its flags is left to judge, or a second photo of it was compared or is under way.
        """
        require_mechanic(person)
        with self._records.begin() as work:
            this, photo = self._marked(work, person, try_id)
            item = work.get(Item, this.item_id)
            self._require_room(work, person, item)
            why = why_no_second(photo)
            if why:
                raise Conflict(why)
            for one in seconds_of(this, search_tries(work, item)):
                if one.state is TryState.AWAITING_PHOTO and one.performer_id == person.id:
                    return one
            told = (
                f"Taken as the second photo of photo {photo.number} of these hoses, to be held against it: "
                f"asked for from {MOVE}."
            )
            options = {SECOND_OF: this.id}
            made = begun(item, person, this.options["seen_from"], self._clock.now(), HOSES, options, told)
            work.enter("try-begun", person, item.inspection_id, made)
        return made
