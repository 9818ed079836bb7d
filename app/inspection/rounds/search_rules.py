"""How an item that was searched on photos comes to its answer, as pure functions.

An item is entered when nothing of this is left, by who enters it:

===========================================  =========================================
left on a photo                              ended by
===========================================  =========================================
nothing shown on it, search under way        showing them, waiting, giving the photo up
a question about its time                    the reason why it counts
no own marking of the bare photo             marking it, or "I see none on the bare photo"
a flag, a mark, something brought back that  opening it, then judging it, one by one
he has not opened, or not judged
"cannot tell"                                hand and mirror at that place
left beside the photos
what they did not search, of a hose or of    how it was inspected instead, hose by hose
the surface, and changed since it was told
all of it by hand, mirror and light          that; of hoses with doors and steering at their
                                             extremes
===========================================  =========================================

What one person's judgements and hands come to:

===========================  ====================================================
any wear                     fault: a discrepancy for its hose or the surface, the
                             limits first
any fluid                    fault: a discrepancy that begins a leak's steps
a fault found by hand        fault: a discrepancy in his words, its limits first where
                             it is one hose's; wet, with a leak's steps
else, "cannot tell" unsettled  undecided
reflections and dirt alone,  good: nothing that needs action was found on what was
or no place at all           searched, and the words say what that was
===========================  ====================================================

Of two people, fault of either is a discrepancy, "cannot tell" of the second sends the item
back to hand and mirror for both, and reflection against dirt agrees (`second`).  Where an item
is seen at the aircraft, the second person's hand, mirror and light are left, too, beside his photos.
"""

from collections.abc import Iterable, Iterator, Sequence

from app.inspection.model import Try, TryState
from app.inspection.rounds.hose_pair_rules import left_on_second
from app.inspection.rounds.model import Finding, HandEntry, HandKind, Judged
from app.inspection.rounds.photo_age import question_of
from app.inspection.rounds.search_kinds import HOSES, SearchKind, kind_of
from app.inspection.rounds.search_views import SearchCoverage, SearchedPhoto, SearchedPlace, Step

MOST_POINTS = 9
"""Along one hose."""

MOST_CORNERS = 20
"""Of the region of a surface."""

ACTS = (Judged.WEAR, Judged.FLUID)
"""What needs action."""


def is_search_photo(this: Try) -> bool:
    """Return whether a try's photo is one that is searched and judged place by place."""
    return kind_of(this) is not None


def is_shown(this: Try) -> bool:
    """Return whether a person has shown on a photo what of it is searched."""
    kind = kind_of(this)
    return kind is not None and bool(this.options.get(kind.shown))


def awaits_points(this: Try) -> bool:
    """Return whether a photo waits for a person to show on it what is searched: till then it is not."""
    return is_search_photo(this) and this.state is TryState.STORED and not is_shown(this)


def step_of(this: Try, is_marked: bool, asks_marking: bool, places: Sequence[SearchedPlace]) -> Step:
    """Return what is next with a photo.

    Parameters
    ----------
    is_marked : bool
        The asking person has marked it.
    asks_marking : bool
        He marks it even where it was not searched: somebody sees a place on it, so that it has places, too,
        or he may yet be the second person, who would be told by a difference that another one sees one.
    """
    early = _step_before_the_result(this)
    if early is not None:
        return early
    not_searched = _not_searched(this)
    if not_searched is not None and not asks_marking:
        return not_searched
    if not is_marked:
        return Step.MARK
    if any(one.judged is None for one in places):
        return Step.JUDGE
    return not_searched or Step.DONE


def _step_before_the_result(this: Try) -> Step | None:
    if this.photo is None:
        return Step.PHOTO
    if awaits_points(this):
        return Step.SHOW
    if this.state in (TryState.STORED, TryState.MEASURING):
        return Step.SEARCHING
    return None


def _not_searched(this: Try) -> Step | None:
    if this.state is TryState.FAILED:
        return Step.FAILED
    return Step.REFUSED if (this.result or {}).get("status") == "refused" else None


def locks_on_photos(
    photos: Iterable[SearchedPhoto], *, second: bool, kind: SearchKind = HOSES
) -> tuple[str, ...]:
    """Return what is left on the photos, in order; a second person settles nothing by hand."""
    found: list[str] = []
    for one in photos:
        found += [f"Photo {one.number}: {words}" for words in _left_on(one, second, kind)]
        beside = ((each.number, left_on_second(each)) for each in one.seconds)
        found += [
            f"Photo {number}, the second of photo {one.number}: {words}" for number, words in beside if words
        ]
    if not any(one.step is Step.MARK or one.places or tells(one.try_) for one in photos):
        found.append(kind.nothing_searched)
    return tuple(found)


def tells(this: Try) -> bool:
    """Return whether a photo's search raised a place, or at least a part of it counts as searched."""
    result = this.result or {}
    things = [*result.get("hoses", ()), *filter(None, [result.get("surface")])]
    return bool(result.get("flags")) or any(one["searched_share"] > 0 for one in things)


def _left_on(photo: SearchedPhoto, second: bool, kind: SearchKind) -> Iterator[str]:
    if photo.step is Step.SHOW:
        yield kind.not_shown
    elif photo.step is Step.SEARCHING:
        yield "it is being searched: wait for what it gives."
    elif photo.step is Step.MARK:
        yield "mark first what you see yourself on the bare photo, or say that you see none."
    if photo.step not in (Step.JUDGE, Step.DONE) and not photo.places:
        return
    question = question_of(photo.try_)
    if question and not second:
        yield f"{question} {kind.count_again}"
    closed = [one for one in photo.places if not one.opened]
    if closed:
        yield f"{_places(closed)} not looked at: open {_them(closed)} first."
    unjudged = [one for one in photo.places if one.opened and one.judged is None]
    if unjudged:
        yield f"{_places(unjudged)} not judged: say what you take {_them(unjudged)} for."
    doubtful = [one for one in photo.places if one.judged is Judged.CANNOT_TELL and one.by_hand is None]
    if doubtful and not second:
        yield f"{_places(doubtful)} left open by the photo: {kind.look_there}."


def _places(places: Sequence[SearchedPlace]) -> str:
    numbers = ", ".join(str(one.number) for one in places)
    return f"place {numbers} is" if len(places) == 1 else f"places {numbers} are"


def _them(places: Sequence[SearchedPlace]) -> str:
    return "it" if len(places) == 1 else "each"


def locks_by_hand(
    coverage: Iterable[SearchCoverage], hand_light: HandEntry | None, kind: SearchKind = HOSES
) -> tuple[str, ...]:
    """Return what is left beside the photos, in order."""
    found = []
    for one in coverage:
        if one.acknowledged is None:
            since = ", which has changed since you told" if one.outdated else ""
            found.append(
                f"{kind.named(one.hose)}: say how what the photos did not search of it was inspected{since}."
            )
    if hand_light is None:
        found.append(kind.by_hand_left)
    return tuple(found)


def finding_of(places: Iterable[SearchedPlace], hands: Iterable[HandEntry]) -> Finding:
    """Return what one person's judgements and hands come to (see the table above)."""
    judged = tuple(places)
    found = [one for one in hands if one.kind is not HandKind.SETTLES]
    # A fault that was found by hand stays one, whatever the place is taken for afterwards.
    found += [one.by_hand for one in judged if one.by_hand is not None]
    if any(one.judged in ACTS for one in judged) or any(one.finding is Finding.FAULT for one in found):
        return Finding.FAULT
    if any(one.judged is None or (one.judged is Judged.CANNOT_TELL and not one.by_hand) for one in judged):
        return Finding.UNDECIDED
    return Finding.GOOD
