"""Where an item searched by photo stands for one person, from the records: nothing is written here.

A flag, what another person marked or brought back, and everything else that a search gave
is in none of it before the person's own marking of that photo is stored.
"""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from app.errors import Conflict, NotAllowed
from app.inspection.base import tries_of
from app.inspection.model import Item, ItemState, Person, Try, TryState
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import leg_in, leg_of, programme_item, require_programme
from app.inspection.rounds.hose_pair_rules import first_id, is_second, parted, seconds_of
from app.inspection.rounds.model import (
    Answer,
    BareMarking,
    HandEntry,
    HandKind,
    Judging,
    Look,
    LookOutcome,
    PlaceOpened,
)
from app.inspection.rounds.search_kinds import UNTOLD, SearchKind, kind_judged, kind_of, kind_wanted
from app.inspection.rounds.search_places import coverage_of, coverage_of_surface, marked, raised, set_aside
from app.inspection.rounds.search_rules import is_search_photo, is_shown, step_of
from app.inspection.rounds.search_views import (
    DamageLimit,
    HoseOfLeg,
    SearchCoverage,
    SearchedPhoto,
    SearchedPlace,
)
from app.programme import Item as ProgrammeItem

REJECTED = (
    "A second person could not tell from these photos, and others cannot replace them: "
    "both look by hand and mirror, and answer what they find."
)


def require_search_item(r: Reader, item: Item) -> ProgrammeItem:
    """Return what the programme says of an item that is searched on photos.

    Raises
    ------
    Conflict
        It is none.
    """
    wanted = programme_item(r, require_programme(r, item.inspection_id), item)
    if kind_wanted(wanted) is None:
        msg = f"{wanted.title} is not searched on photos of hoses or surfaces: answer it as it asks"
        raise Conflict(msg)
    return wanted


def search_kind(r: Reader, item: Item) -> SearchKind:
    """Return what an item's photos are searched for; raises as `require_search_item`."""
    kind = kind_wanted(require_search_item(r, item))
    assert kind is not None
    return kind


def search_tries(r: Reader, item: Item) -> tuple[Try, ...]:
    """Return an item's photos that are searched, in time order; their places there number them."""
    return tuple(one for one in tries_of(r, item.id) if is_search_photo(one))


def photo_answer(r: Reader, item: Item) -> Answer | None:
    """Return the answer that an item stands on where it was given on photos, else None."""
    found = current_answer(r, item.id)
    return found if is_by_photo(found) else None


def is_by_photo(answer: Answer | Look | None) -> bool:
    """Return whether an answer or a look was given on photos that were searched and judged."""
    return answer is not None and kind_judged(answer.reading) is not None


def hoses_of_leg(r: Reader, item: Item) -> tuple[HoseOfLeg, ...]:
    """Return the hoses of an item's leg, each with why it cannot be searched on a photo."""
    entry = leg_of(r, item)
    return tuple(
        HoseOfLeg(
            one.name,
            one.diameter_mm,
            one.cover,
            one.document,
            _why_not(one.name, one.diameter_mm),
            one.damage_limits,
            one.damage_document,
        )
        for one in leg_in(entry.toml, entry.position).hoses
    )


def _why_not(name: str, diameter_mm: float | None) -> str:
    if diameter_mm is not None:
        return ""
    which = f" of {name}" if name else ""
    return f"The leg's data lack the diameter{which}: inspect it by hand and mirror, or have it entered."


def limits_of_leg(r: Reader, item: Item) -> dict[str, DamageLimit]:
    """Return the documents' words about damage that the leg's data hold, by the hose's name.

    They hold none of a surface.
    """
    if not search_kind(r, item).of_leg:
        return {}
    entry = leg_of(r, item)
    return {
        one.name: DamageLimit(one.damage_document, one.damage_limits)
        for one in leg_in(entry.toml, entry.position).hoses
        if one.damage_limits
    }


def photos_of(r: Reader, person: Person, item: Item) -> tuple[SearchedPhoto, ...]:
    """Return an item's photos as a person has them, each with the second ones that are held against it."""
    tries = search_tries(r, item)
    return tuple(photo_of(r, person, one, tries) for one in tries if not is_second(one))


def photo_of(r: Reader, person: Person, this: Try, tries: tuple[Try, ...]) -> SearchedPhoto:
    """Return one of an item's photos as a person has it; places only once he has marked it himself."""
    number = tries.index(this) + 1
    if is_second(this):
        seen = this if sees_search(r, person, this) else replace(this, result=None)
        return SearchedPhoto(seen, number, step_of(this, is_marked=True, asks_marking=False, places=()), None)
    seconds = seconds_of(this, tries)
    markings = sorted(r.all(BareMarking, try_id=this.id), key=lambda one: (one.at, one.id))
    mine = next((one for one in markings if one.person_id == person.id), None)
    asks_marking = any(one.marks for one in markings) or is_still_blind(r, person, this)
    measured = this.result is not None or this.state is TryState.FAILED
    places, aside = _places(r, person, this, markings, seconds) if mine is not None and measured else ((), ())
    step = step_of(this, mine is not None, asks_marking, places)
    seen = this if sees_search(r, person, this) else replace(this, result=None, annotated=None)
    beside = tuple(photo_of(r, person, one, tries) for one in seconds)
    return SearchedPhoto(seen, number, step, mine, places, aside, beside)


def is_still_blind(r: Reader, person: Person, this: Try) -> bool:
    """Return whether a person marks a photo whatever its search came to, as he may yet be the second on it.

    Were he asked only where somebody marked something, that would tell him so before his own marks are
    stored.  Who photographed here, or has answered, is no second person any more.  A photo on which nothing
    was shown is marked by nobody, and on one that is settled everybody sees what was found.
    """
    item = r.get(Item, this.item_id)
    told = this.state is TryState.SETTLED or item.state is ItemState.CLOSED
    if not is_shown(this) or told or _has_photographed(r, person, item):
        return False
    return all(one.person_id != person.id for one in r.all(Answer, item_id=item.id))


def sees_search(r: Reader, person: Person, this: Try) -> bool:
    """Return whether a person may see what was found on a photo that was searched.

    Who has marked it, or the one against which it is held, bare himself, whoever took it; and
    everybody once it is settled or its item closed.  That a search was refused tells nothing that was found.
    """
    refused = (this.result or {}).get("status") == "refused"
    settled = this.state is TryState.SETTLED or r.get(Item, this.item_id).state is ItemState.CLOSED
    return refused or settled or bool(r.all(BareMarking, try_id=first_id(this), person_id=person.id))


def _places(
    r: Reader, person: Person, this: Try, markings: Iterable[BareMarking], seconds: tuple[Try, ...]
) -> tuple[tuple[SearchedPlace, ...], tuple[SearchedPlace, ...]]:
    """Return what is to be judged, numbered as it came up, and what is still set aside."""
    opened = sorted(r.all(PlaceOpened, try_id=this.id), key=lambda one: (one.at, one.id))
    brought = {one.place: one.at for one in reversed(opened)}
    aside, came = [], []
    said = r.all(Judging, try_id=this.id)
    flags, slid = parted(raised(this), seconds, {one.place for one in said})
    for place in (*set_aside(this), *slid):
        if place.key in brought:
            came.append((brought[place.key], place))
        else:
            aside.append(place)
    elsewhere = _elsewhere(r, this)
    for one in markings:
        came += [(one.at, place) for place in marked(this, one, one.person_id == person.id, elsewhere)]
    later = [
        replace(place, number=number)
        for number, (_, place) in enumerate(
            sorted(came, key=lambda each: each[0]), len(flags) + len(slid) + 1
        )
    ]
    mine = {one.place for one in opened if one.person_id == person.id}
    judgings = {one.place: one for one in said if one.person_id == person.id}
    found = tuple(_judged(r, one, mine, judgings.get(one.key)) for one in (*flags, *later))
    return found, tuple(aside)


def _elsewhere(r: Reader, this: Try) -> str:
    """The thing that a mark beside everything searched lies on: the leg's only hose, or the surface."""
    kind = kind_of(this)
    if kind is None or not kind.of_leg:
        return ""
    hoses = hoses_of_leg(r, r.get(Item, this.item_id))
    return hoses[0].name if len(hoses) == 1 else UNTOLD


def _judged(r: Reader, place: SearchedPlace, opened: set[str], said: Judging | None) -> SearchedPlace:
    if said is None:
        return replace(place, opened=place.key in opened)
    hand = next(iter(r.all(HandEntry, judging_id=said.id)), None)
    return replace(place, opened=True, judged=said.judged, text=said.text, judged_at=said.at, by_hand=hand)


def place_in(photo: SearchedPhoto, key: str) -> SearchedPlace:
    """Return one of a photo's places by its key, set aside or not.

    Raises
    ------
    Conflict
        The person has not marked this photo yet, or it has no such place.
    """
    if photo.marking is None:
        msg = "Mark first what you see yourself on the bare photo, or say that you see none: then come flags."
        raise Conflict(msg)
    for one in (*photo.places, *photo.aside):
        if one.key == key:
            return one
    msg = f"This photo has no place {key[:60]!r}: choose one from its list."
    raise Conflict(msg)


def coverages(r: Reader, item: Item, hands: Iterable[HandEntry]) -> tuple[SearchCoverage, ...]:
    """Return what the photos searched, hose by hose or of the surface, with what he said of the rest."""
    searched = [
        (number, one)
        for number, one in enumerate(search_tries(r, item), 1)
        if (one.result or {}).get("status") == "searched"
    ]
    said = {one.hose: one for one in hands if one.kind is HandKind.NOT_SEARCHED}
    if search_kind(r, item).of_leg:
        all_of_it = [coverage_of(hose.name, searched) for hose in hoses_of_leg(r, item)]
    else:
        all_of_it = [coverage_of_surface(searched)]
    found = []
    for now in all_of_it:
        told = said.get(now.hose)
        stands = told is not None and told.told["stood"] == list(now.lines)
        outdated = told is not None and not stands
        found.append(replace(now, acknowledged=told if stands else None, outdated=outdated))
    return tuple(found)


def is_rejected(r: Reader, item: Item) -> bool:
    """Return whether photos were answered with and did not stand: then hand and mirror settle it."""
    return rejected_at(r, item) is not None


def rejected_at(r: Reader, item: Item) -> datetime | None:
    """Return when a second person could not tell from an item's photos, or None."""
    found = [
        look.at
        for one in r.all(Answer, item_id=item.id)
        if is_by_photo(one)
        for look in r.all(Look, answer_id=one.id)
        if look.outcome is LookOutcome.ANEW
    ]
    return max(found, default=None)


def require_not_rejected(r: Reader, item: Item) -> None:
    """Refuse photos where those before did not stand.

    Raises
    ------
    Conflict
        A second person could not tell from them.
    """
    if is_rejected(r, item):
        raise Conflict(REJECTED)


def require_not_own_photo(r: Reader, person: Person, item: Item) -> None:
    """Refuse as a second person who took one of the photos; begun, or given up bare, it is none.

    Raises
    ------
    NotAllowed
        He did.
    """
    if _has_photographed(r, person, item):
        kind = search_kind(r, item)
        msg = (
            f"You photographed {kind.these} yourself: another person has to judge {kind.them} a second time."
        )
        raise NotAllowed(msg)


def _has_photographed(r: Reader, person: Person, item: Item) -> bool:
    """Whether a person took a photo of an item; begun, or given up with nothing shown on it, it is none."""
    taken = (one for one in search_tries(r, item) if one.performer_id == person.id and one.photo is not None)
    return any(one.state is not TryState.FAILED or is_shown(one) for one in taken)


def require_not_judged(answer: Answer) -> None:
    """Refuse to replace by a plain "nothing wrong" what two people judged on photos, place by place.

    Raises
    ------
    Conflict
        The answer was given on photos that were searched.
    """
    if is_by_photo(answer):
        msg = (
            "What was judged on photos stays, place by place: one answer does not replace it. "
            "What is wrong can be entered as a correction."
        )
        raise Conflict(msg)


def has_marks(r: Reader, this: Try) -> bool:
    """Return whether somebody marked a place on a photo whose search has ended, whatever that gave."""
    ended = this.state in (TryState.READ, TryState.REFUSED, TryState.FAILED)
    return ended and any(one.marks for one in r.all(BareMarking, try_id=this.id))


def has_opened(r: Reader, this: Try) -> bool:
    """Return whether somebody opened or judged a place on a photo, be it one that was set aside."""
    return bool(r.all(PlaceOpened, try_id=this.id) or r.all(Judging, try_id=this.id))
