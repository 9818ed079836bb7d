"""Draw a case, answer it, look back."""

import random
import uuid
from collections.abc import Callable, Sequence
from datetime import UTC, datetime

from app.errors import Conflict, NotFound
from app.practice.cases import Case, Pixel, cases
from app.practice.drawing import shown_value
from app.practice.model import Answer, Choice, Shown
from app.practice.ports import PracticeStore
from app.practice.scoring import Score, score


class Practice:
    """One archive's practice.

    Parameters
    ----------
    there : sequence of Case, optional
        The scenes; None takes the demo's.
    """

    def __init__(
        self,
        store: PracticeStore,
        there: Sequence[Case] | None = None,
        now: Callable[[], datetime] = lambda: datetime.now(UTC),
    ) -> None:
        self._store = store
        self._cases = tuple(cases() if there is None else there)
        self._now = now

    def next_case(self, person_id: str) -> Case | None:
        """Return the case whose turn it is; all come once before one comes again. None where there is none.

        The same until it is answered, so that a reload shows it again.
        """
        if not self._cases:
            return None
        turn = len(self._store.answers(person_id))
        whole, place = divmod(turn, len(self._cases))
        order = list(self._cases)
        random.Random(f"{person_id} {whole}").shuffle(order)
        return order[place]

    def shown(self, person_id: str, case: Case) -> Shown:
        """Return what is shown of a machine, for after the person's own reading."""
        return shown_value(case, person_id, len(self._store.answers(person_id)))

    def answer(
        self, person_id: str, name: str, choice: Choice, placed: tuple[Pixel, Pixel] | None = None
    ) -> Answer:
        """Keep and return the answer to the case whose turn it is.

        Parameters
        ----------
        placed : pair of (x, y), optional
            The person's two points, px; needed but where the photo gives no value.

        Raises
        ------
        NotFound
            There is nothing to practise on.
        Conflict
            It is another case's turn, or the machine's value was answered before an own reading.
        """
        case = self.next_case(person_id)
        if case is None:
            msg = "There is nothing to practise on: the demo's pictures are not on this machine."
            raise NotFound(msg)
        if case.name != name:
            msg = "This case was answered before: go on with the next one."
            raise Conflict(msg)
        if placed is None and choice is not Choice.NO_VALUE:
            msg = "Place both ends first: the machine's value is answered after an own reading."
            raise Conflict(msg)
        told = self.shown(person_id, case)
        length = None if placed is None else case.length_mm(*placed)
        made = Answer(
            uuid.uuid4().hex, person_id, case.name, self._now(), case.is_usable, case.truth_mm,
            told.value_mm, told.is_wrong, length, choice,
        )  # fmt: skip
        self._store.keep(made)
        return made

    def score(self, person_id: str) -> Score:
        """Return a person's counts."""
        return score(self._store.answers(person_id))

    def last(self, person_id: str) -> Answer | None:
        """Return a person's last answer, None where there is none."""
        return next(reversed(self._store.answers(person_id)), None)

    def case_of(self, answer: Answer) -> Case | None:
        """Return the case of an answer; None where it is no longer there."""
        return next((one for one in self._cases if one.name == answer.case), None)
