"""What searched photos leave to be judged, what settles them, and who may not pass them by."""

from dataclasses import replace
from datetime import datetime

from app.errors import Conflict
from app.inspection.model import Item, Try, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.model import Answer, Finding, Look
from app.inspection.rounds.search_kinds import kind_wanted
from app.inspection.rounds.search_rules import tells
from app.inspection.rounds.search_state import (
    has_marks,
    has_opened,
    is_by_photo,
    is_rejected,
    search_tries,
)
from app.programme import Item as ProgrammeItem


def left_to_judge(r: Reader, item: Item) -> bool:
    """Return whether photos of an item hold, or may still bring, what two people have not judged."""
    return any(
        one.state in (TryState.STORED, TryState.MEASURING)
        or (one.state in (TryState.READ, TryState.REFUSED) and _wants_judging(r, one))
        or (one.state is TryState.FAILED and has_marks(r, one) and not _both_judged(r, item, one))
        for one in search_tries(r, item)
    )


def _wants_judging(r: Reader, this: Try) -> bool:
    """Whether a photo's search raised or covered something, or a person marked or opened a place on it.

    What was set aside can be brought back and judged wear on a photo that by itself tells nothing.
    """
    return tells(this) or has_marks(r, this) or has_opened(r, this)


def _both_judged(r: Reader, item: Item, this: Try) -> bool:
    """Whether a photo whose search failed, and which is never settled, was judged with an answer's others."""
    return any(
        one.finding is Finding.FAULT
        or any(is_by_photo(look) and look.outcome for look in r.all(Look, answer_id=one.id))
        for one in r.all(Answer, item_id=item.id)
        if is_by_photo(one) and this.id in (one.reading or {})["tries"]
    )


def settled_tries(r: Reader, answer: Answer, now: datetime) -> list[Try]:
    """Return the photos of an answer on searched photos, settled; none for another answer."""
    if not is_by_photo(answer):
        return []
    tries = [r.get(Try, id_) for id_ in (answer.reading or {})["tries"]]
    return [
        replace(one, state=TryState.SETTLED, sent_at=now)
        for one in tries
        if one.state in (TryState.READ, TryState.REFUSED)
    ]


def require_flags_answered(r: Reader, wanted: ProgrammeItem, item: Item, *, good: bool) -> None:
    """Refuse an ordinary answer that would pass by what a photo's search wants looked at.

    Raises
    ------
    Conflict
        Photos of it raised places, count as searched, or hold what was marked or brought back, and nothing
        wrong is answered.
    """
    kind = kind_wanted(wanted)
    if kind is None or is_rejected(r, item):
        return
    if good and any(_wants_judging(r, one) for one in search_tries(r, item)):
        msg = (
            f"Photos of {kind.these} were searched, and each flag is to be judged: go to the photos. "
            "What you find wrong can be entered at once."
        )
        raise Conflict(msg)
