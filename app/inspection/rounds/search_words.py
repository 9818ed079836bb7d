"""What a searched item's answer, its discrepancies and its record say, and what of it is signed; pure."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from app.inspection.canonical import utc_text
from app.inspection.rounds.hose_pair_rules import pair_words, pairs_told
from app.inspection.rounds.model import Finding, HandEntry, HandKind, Judged
from app.inspection.rounds.search_kinds import HOSES, SearchKind, kind_of
from app.inspection.rounds.search_rules import ACTS
from app.inspection.rounds.search_views import DamageLimit, SearchCoverage, SearchedPhoto, SearchedPlace

WET = "wet"
"""In `HandEntry.told` where a hand found fluid; stored for years."""


@dataclass(frozen=True)
class SearchFault:
    """What of one hose, or of one surface, becomes a discrepancy; `leak` begins a leak's steps.

    `surface` is what a photo was said to show, empty where what is wrong is told by no photo.
    """

    hose: str
    text: str
    photo: str | None
    leak: bool
    surface: str = ""


def faults_of(
    photos: Sequence[SearchedPhoto],
    hands: Iterable[HandEntry],
    limits: Mapping[str, DamageLimit],
    document: str,
    kind: SearchKind,
    others: Iterable[tuple[HandEntry, Judged]] = (),
) -> tuple[SearchFault, ...]:
    """Return what becomes a discrepancy: wear and fluid of each hose or surface apart, then what hands found.

    Before each of a known hose stand that hose's limits.

    Parameters
    ----------
    limits : mapping of DamageLimit
        By the hose's name, where its document's words are known.
    document : str
        Of the leg's data: what to ask where they are not.
    others : iterable of (HandEntry, Judged)
        What other people's hands found, and what who answers takes it for.
    """
    found = []
    for what in ACTS:
        apart: dict[tuple[str, str], list[tuple[SearchedPhoto, SearchedPlace]]] = {}
        for photo in photos:
            for place in photo.places:
                if place.judged is what:
                    apart.setdefault((place.hose_name, _surface(photo)), []).append((photo, place))
        for (hose, surface), places in apart.items():
            where = "; ".join(_where(photo, place) for photo, place in places)
            text = f"{_limit(limits.get(hose), document)} {kind.named(hose)}, {what.value}: {where}"
            found.append(SearchFault(hose, text, places[0][0].try_.photo, what is Judged.FLUID, surface))
    found += [
        SearchFault(
            place.hose_name,
            f"{_limit(limits.get(place.hose_name), document)} {_settled(photo, place, kind)}",
            photo.try_.photo,
            leak=is_wet(place.by_hand),
            surface=_surface(photo),
        )
        for photo in photos
        for place in photo.places
        if place.by_hand is not None and place.by_hand.finding is Finding.FAULT
    ]
    for one in hands:
        if one.finding is Finding.FAULT and one.kind is not HandKind.SETTLES:
            words = f"{_gone_over(one, limits, document, kind)}, by hand, mirror and light: {hand_said(one)}"
            found.append(SearchFault(one.hose, words, None, leak=is_wet(one)))
    for one, judged in others:
        where = _gone_over(one, limits, document, kind)
        words = f"{where}, found by another person's hand, {judged.value}: {hand_said(one)}"
        found.append(SearchFault(one.hose, words, None, leak=is_wet(one) or judged is Judged.FLUID))
    return tuple(found)


def _gone_over(hand: HandEntry, limits: Mapping[str, DamageLimit], document: str, kind: SearchKind) -> str:
    """What a hand went over; a hose or the rest of a surface after its limits."""
    if hand.kind is not HandKind.NOT_SEARCHED:
        return kind.all_round if hand.kind is HandKind.ALL_ROUND else "One place of a photo"
    return f"{_limit(limits.get(hand.hose), document)} {kind.named(hand.hose)}"


def wrong_on(photos: Iterable[SearchedPhoto], hands: Iterable[HandEntry]) -> Iterator[str]:
    """Yield the hoses on which something is wrong by a place's judgement or by hand, once or more."""
    for one in (place for photo in photos for place in photo.places):
        if one.judged in ACTS or (one.by_hand is not None and one.by_hand.finding is Finding.FAULT):
            yield one.hose_name
    for hand in hands:
        if hand.kind is HandKind.NOT_SEARCHED and hand.finding is Finding.FAULT:
            yield hand.hose


def is_wet(hand: HandEntry) -> bool:
    """Return whether a hand found something wet: that begins a leak's steps."""
    return bool(hand.told.get(WET))


def hand_said(hand: HandEntry) -> str:
    """Return what a hand found, in the person's words."""
    return f"wet, {hand.text}" if is_wet(hand) else hand.text


def _limit(limit: DamageLimit | None, document: str) -> str:
    if limit is None:
        return (
            f"Limits not given: ask the document ({document})."
            if document
            else "Limits not given: ask the document."
        )
    return f"Limits by {limit.document}: {limit.allows.rstrip('.')}."


def _where(photo: SearchedPhoto, place: SearchedPlace) -> str:
    size = "" if place.size_mm is None else f", {place.size_mm:g} mm long"
    words = f" ({place.text})" if place.text else ""
    return f"{where_on(photo, place)}{size}{words}"


def _settled(photo: SearchedPhoto, place: SearchedPlace, kind: SearchKind) -> str:
    said = "" if place.by_hand is None else hand_said(place.by_hand)
    return f"{kind.named(place.hose_name)}, by hand and mirror at {where_on(photo, place)}: {said}"


def _surface(photo: SearchedPhoto) -> str:
    """Which surface a photo was said to show; empty of a photo of hoses, which the leg's data name."""
    kind = kind_of(photo.try_)
    return "" if kind is None or kind.of_leg else str(photo.try_.options["seen_from"])


def where_on(photo: SearchedPhoto, place: SearchedPlace) -> str:
    """Return where a place lies, in words; of a surface, which one the photo shows."""
    surface = _surface(photo)
    if surface:
        return f"{surface}, photo {photo.number}, place {place.number}"
    at = "" if place.along_mm is None else f"{place.along_mm:.0f} mm along the hose as "
    return f"{at}photo {photo.number} shows it, place {place.number}"


def words_of(
    finding: Finding,
    photos: Sequence[SearchedPhoto],
    coverage: Sequence[SearchCoverage],
    hands: Sequence[HandEntry],
    faults: Sequence[SearchFault],
    kind: SearchKind = HOSES,
) -> str:
    """Return an answer's words: what was found on what was searched, and what was not searched."""
    said = [one.text for one in faults]
    if finding is Finding.GOOD:
        told: dict[str, int] = {}
        for place in (one for photo in photos for one in photo.places):
            if place.judged is not None:
                told[_COUNTED[place.judged]] = told.get(_COUNTED[place.judged], 0) + 1
        judged = ", ".join(f"{number} × {words}" for words, number in told.items()) or "no place was raised"
        said.append(f"Nothing that needs action was found on what was searched ({judged})")
    elif finding is Finding.UNDECIDED:
        said.append("Not every place can be told from the photo")
    said += [words for photo in photos for words in pair_words(photo)]
    for one in coverage:
        instead = "" if one.acknowledged is None else f" Instead: {_told_by(one.acknowledged, 'how')}"
        said.append(f"{kind.named(one.hose)}. {' '.join(one.lines)}{instead}".rstrip("."))
    light = next((one for one in hands if one.kind is HandKind.ALL_ROUND), None)
    if light is not None:
        said.append(light_words(light, kind))
    return ". ".join(said) + "."


def light_words(light: HandEntry, kind: SearchKind) -> str:
    """Return what was inspected by hand, mirror and light, of hoses with how doors and steering stood."""
    if not kind.of_leg:
        return f"{kind.all_round} by hand, mirror and light: {_told_by(light, 'how')}"
    steering = _told_by(light, "steering")
    return f"All hoses by hand, mirror and light; doors: {light.told['doors']}; steering: {steering}"


def _told_by(hand: HandEntry, name: str) -> str:
    """The last of what is told by hand, with his words where he found nothing to act on."""
    good = hand.text if hand.finding is Finding.GOOD else ""
    return f"{hand.told[name]}{f' ({good})' if good else ''}"


_COUNTED = {
    Judged.WEAR: "wear", Judged.REFLECTION: "reflection", Judged.DIRT: "dirt", Judged.FLUID: "fluid",
    Judged.CANNOT_TELL: "looked at by hand",
}  # fmt: skip


def told_of(faults: Iterable[SearchFault]) -> list[dict[str, Any]]:
    """Return faults as plain values."""
    return [
        {"hose": one.hose, "text": one.text, "photo": one.photo, "leak": one.leak}
        | ({"surface": one.surface} if one.surface else {})
        for one in faults
    ]


def reading_of(
    photos: Iterable[SearchedPhoto], faults: Iterable[SearchFault], kind: SearchKind
) -> dict[str, Any]:
    """Return what an answer or a look keeps of the photos: all that is signed with it."""
    marked = [one for one in photos if one.marking is not None]
    looked_at = [one for one in marked if one.try_.result is not None or one.places]
    beside = [one.try_ for photo in looked_at for one in photo.seconds if one.try_.result is not None]
    pairs = pairs_told(looked_at)
    return {
        "what": kind.what,
        "tries": [one.id for one in (*(photo.try_ for photo in looked_at), *beside)],
        **({"held_against": pairs} if pairs else {}),
        "bare": [
            {
                "try_id": one.try_.id,
                "photo": one.number,
                "marks": len(one.marking.marks),
                "none_seen": one.marking.none_seen,
            }
            for one in looked_at
            if one.marking is not None
        ],
        "judged": [_judged_told(photo, place) for photo in looked_at for place in photo.places],
        "faults": told_of(faults),
    }


def _judged_told(photo: SearchedPhoto, place: SearchedPlace) -> dict[str, Any]:
    return {
        "try_id": photo.try_.id,
        "photo": photo.number,
        "place": place.key,
        "number": place.number,
        **({"seen_from": _surface(photo)} if _surface(photo) else {"hose": place.hose_name}),
        "along_mm": place.along_mm,
        "size_mm": place.size_mm,
        "judged": None if place.judged is None else place.judged.value,
        "text": place.text,
        "at": None if place.judged_at is None else utc_text(place.judged_at),
        "by_hand": None if place.by_hand is None else _hand_told(place.by_hand),
    }


def _hand_told(one: HandEntry) -> dict[str, Any]:
    return {"finding": one.finding.value, "text": hand_said(one), "at": utc_text(one.at)}


def by_hand_of(
    coverage: Iterable[SearchCoverage],
    hands: Iterable[HandEntry],
    kind: SearchKind,
    others: Iterable[tuple[HandEntry, Judged]] = (),
) -> dict[str, Any]:
    """Return what an answer keeps beside the photos: what was not searched, hose by hose, and the hands.

    ``others`` stands in it only where other people's hands found something that it answers.
    """
    answered = [
        {"entry": one.id, "person_id": one.person_id, "judged": judged.value, **_hand_told(one)}
        for one, judged in others
    ]
    light = next((one for one in hands if one.kind is HandKind.ALL_ROUND), None)
    return {
        "hoses" if kind.of_leg else "surface": [_not_searched(one, kind) for one in coverage],
        "hand_light": None if light is None else {**light.told, **_hand_told(light)},
        **({"others": answered} if answered else {}),
    }


def _not_searched(one: SearchCoverage, kind: SearchKind) -> dict[str, Any]:
    said = one.acknowledged
    return {
        **({"hose": one.hose} if kind.of_leg else {}),
        "lines": list(one.lines),
        "least": round(one.least, 4),
        "most": round(one.most, 4),
        "instead": None if said is None else {"how": said.told["how"], **_hand_told(said)},
    }
