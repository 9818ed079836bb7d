"""A second photo of the same hoses, from further along them, as pure functions.

It is never asked for.  It is held against one photo that was searched and marked bare, is not
searched itself, and can only set flags of that photo aside:

==========================================  ==============================================
a place of the first photo                  after a second photo was held against it
==========================================  ==============================================
a flag that is in its place there, too,     stays to be judged
or of which the second tells nothing
a flag that somebody has judged             stays, with its judgement
a flag that is not in its place there       set aside as ``"slides"`` with the reason, under a
                                            key of its own; it can be brought back
what a person marked, or brought back       stays
==========================================  ==============================================

A second photo counts once it was compared, and not while its time is questioned.  One is enough:
another is taken only where those before were refused, failed or given up.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from app.inspection.model import Pixel, Try
from app.inspection.rounds.photo_age import question_of
from app.inspection.rounds.search_kinds import HOSES, kind_of
from app.inspection.rounds.search_views import PlaceKind, SearchedPhoto, SearchedPlace, Step

SECOND_OF = "second_of"
"""In `Try.options` of a second photo: the id of the try against which it is held; stored for years."""

FIRST = "first"
"""What `Measurer.measure` gets of that try beside the options: its photo, taps and flags; never stored."""

HOSE_PAIR = "hose_pair"
"""The `name` of its result, whose ``slides`` hold ``flag``, a number of the first photo's, and ``why``."""

SLIDES = "slides"
"""What it sets aside is set aside as this, and is named ``"slides-2"`` for ``"flag-2"``; stored for years."""

MOVE = "100 mm or more along the hose"

_SAME_PX = 0.5


def is_second(this: Try) -> bool:
    """Return whether a photo is only held against another one."""
    return SECOND_OF in this.options


def first_id(this: Try) -> str:
    """Return the id of the try that a person marks bare before he sees what was found on this one."""
    return str(this.options.get(SECOND_OF, this.id))


def seconds_of(this: Try, tries: Sequence[Try]) -> tuple[Try, ...]:
    """Return the photos that are held against one, in the order of `tries`."""
    return tuple(one for one in tries if one.options.get(SECOND_OF) == this.id)


def counts(second: Try) -> bool:
    """Return whether what a second photo told sets anything aside."""
    return (second.result or {}).get("status") == "searched" and not question_of(second)


def parted(
    flags: Sequence[SearchedPlace], seconds: Sequence[Try], judged: Collection[str]
) -> tuple[tuple[SearchedPlace, ...], tuple[SearchedPlace, ...]]:
    """Return the flags of a photo that stay to be judged, and those that slide.

    Parameters
    ----------
    seconds : sequence of Try
        Held against the photo.
    judged : collection of str
        Keys of the places that anybody has judged.
    """
    why = {
        f"{PlaceKind.FLAG}-{one['flag']}": str(one["why"])
        for second in seconds
        if counts(second)
        for one in (second.result or {})[SLIDES]
    }
    stay = tuple(one for one in flags if one.key in judged or one.key not in why)
    slid = tuple(
        replace(
            one, key=f"{SLIDES}-{one.number}", kind=PlaceKind.ASIDE, why=f"{one.why}; {why[one.key]}",
            aside_as=SLIDES,
        )
        for one in flags
        if one.key in why and one.key not in judged
    )  # fmt: skip
    return stay, slid


def why_no_second(photo: SearchedPhoto) -> str:
    """Return why a person can hold no second photo against one now; empty where he can."""
    if kind_of(photo.try_) is not HOSES:
        return "Only photos of hoses are held against a second one."
    if photo.marking is None or (photo.try_.result or {}).get("status") != "searched":
        return "Only a photo that was searched, and that you marked bare, is held against a second one."
    if any(one.step in (Step.SHOW, Step.SEARCHING) for one in photo.seconds):
        return "A second photo of it is under way: go on with that, or give it up."
    if any(one.step is Step.DONE for one in photo.seconds):
        return "A second photo was held against it: what is left is judged by looking."
    if not any(one.kind is PlaceKind.FLAG and one.judged is None for one in photo.places):
        return "Every flag of it is judged: a second photo would set none aside."
    return ""


def left_on_second(second: SearchedPhoto) -> str:
    """Return what a begun second photo keeps waiting, in words; empty where nothing does."""
    if second.step is Step.SHOW:
        return "which hoses it shows is not told: show them, or give the photo up."
    if second.step is Step.SEARCHING:
        return "it is being compared: wait for what it gives."
    return ""


def pair_words(photo: SearchedPhoto) -> tuple[str, ...]:
    """Return, as an answer says it, that a second photo was held against one, and what became of it."""
    slid = [one for one in (*photo.aside, *photo.places) if one.aside_as == SLIDES]
    back = sum(one.aside_as == SLIDES for one in photo.places)
    told = []
    for second in photo.seconds:
        if second.step is Step.DONE and counts(second.try_):
            what = f"{len(slid)} of its flags did not stay in place and were set aside" if slid else (
                "no flag was set aside"
            )  # fmt: skip
            more = f", {back} of them brought back and judged" if back else ""
            told.append(
                f"Photo {photo.number} was held against photo {second.number}, from further along: "
                f"{what}{more}"
            )
    return tuple(told)


def pairs_told(photos: Sequence[SearchedPhoto]) -> list[dict[str, Any]]:
    """Return what an answer or a look keeps of second photos: which, of which, and what they set aside."""
    return [
        {
            "photo": photo.number,
            "try_id": photo.try_.id,
            "second": second.number,
            "second_try_id": second.try_.id,
            "set_aside": [one.key for one in photo.aside if one.aside_as == SLIDES],
            "brought_back": [one.key for one in photo.places if one.aside_as == SLIDES],
        }
        for photo in photos
        for second in photo.seconds
        if second.step is Step.DONE and counts(second.try_)
    ]


def flags_that_slide(
    flags: Sequence[Mapping[str, Any]], again: Sequence[Mapping[str, Any]]
) -> list[dict[str, Any]]:
    """Return which flags of a stored result slide, by the same photo's search beside a second one.

    A flag that the present search does not raise in the very same place is left to be judged.

    Parameters
    ----------
    flags : sequence of mapping
        Of the stored result.
    again : sequence of mapping
        What the search beside the second photo set aside.
    """
    slid = [one for one in again if one.get("kind") == SLIDES]
    return [
        {"flag": number, "why": str(other["why"])}
        for number, one in enumerate(flags, 1)
        for other in slid
        if one["hose"] == other["hose"] and _same(one["outline_px"], other["outline_px"])
    ]


def _same(one: Sequence[Pixel], other: Sequence[Pixel]) -> bool:
    return len(one) == len(other) and all(
        abs(a[0] - b[0]) < _SAME_PX and abs(a[1] - b[1]) < _SAME_PX for a, b in zip(one, other, strict=True)
    )
