"""What photos are searched for, a value for each kind: how it is stored, and the words that are its own.

Everything else about a searched photo, its places, their judging and the second look is one for all.

======================  ==================================  =====================================
                        hoses                               a surface
======================  ==================================  =====================================
shown on the photo by   points along each hose of the leg   the corners of a region
what is told of the     stretches of each hose              squares of each photo's region
rest
beside the photos       doors and steering at extremes      how all of it was gone over
the item without photo  never without hand and mirror       as every item by hand and eye
the second person       judges the photos                   judges them, and looks himself where
                                                            the item is seen at the aircraft
======================  ==================================  =====================================
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.inspection.model import Try
from app.programme import Item as ProgrammeItem
from app.programme import Method, SeenFrom

UNTOLD = "not told"
"""`SearchedPlace.hose_name` of a mark beside all hoses that were searched, on a leg of several; stored."""


@dataclass(frozen=True)
class SearchKind:
    """One kind of search.

    Attributes
    ----------
    what : str
        `Try.options["what"]` of its photos, ``what`` of the answers on them, and in a programme's
        ``searches``; stored for years.
    result : str
        The `name` of its result; stored for years.
    shown : str
        The option that holds what a person showed on the photo; stored for years.
    of_leg : bool
        It is searched thing by thing of the leg's data, as hoses are.
    these, them : str
        What a photo shows, in the middle of a sentence.
    not_shown, not_told, show_first : str
        That it is not shown on a photo yet: what is left, as a gap, as a refusal.
    count_again, nothing_searched, by_hand_left, all_round : str
        What a question about the photo's time asks for; that no photo searched anything; that hand, mirror
        and light are left; what these went round.
    look_there : str
        What is done at a place of which the photo cannot tell.
    shown_once, show_before, given_up, give_up_only : str
        Refusals about showing it, and what stands on a photo that was given up.
    """

    what: str
    result: str
    shown: str
    of_leg: bool
    these: str
    them: str
    not_shown: str
    not_told: str
    show_first: str
    count_again: str
    nothing_searched: str
    by_hand_left: str
    all_round: str
    look_there: str
    shown_once: str
    show_before: str
    given_up: str
    give_up_only: str

    def named(self, name: str) -> str:
        """Return one of its things as it is called in a sentence's beginning."""
        return named(name) if self.of_leg else "The surface"


HOSES = SearchKind(
    what="hose",
    result="hose_search",
    shown="taps",
    of_leg=True,
    these="these hoses",
    them="them",
    not_shown="which hoses it shows is not told: show them along their length, or give the photo up.",
    not_told="which hoses a photo shows is not told",
    show_first="On a photo of it no hose is shown yet: show them, or give the photo up.",
    count_again="Say why it shows these hoses in the condition stated, or photograph them again.",
    nothing_searched=(
        "Nothing of a hose counts as searched on any photo: photograph it, show it with three points or "
        "more along it, or answer by hand and mirror."
    ),
    by_hand_left=(
        "All hoses by hand, mirror and light, doors and steering at their extremes: do it and say so."
    ),
    all_round="All hoses",
    look_there="look there with hand and mirror",
    shown_once="Hoses are shown once on a photo that has arrived: to show others, search it again.",
    show_before="This photo is not searched yet: wait for what that gives, or show its hoses first.",
    given_up="Given up: no hose was shown on it.",
    give_up_only=(
        "Only a photo whose hoses are not shown yet is given up: what was searched is judged."
    ),
)  # fmt: skip
SURFACES = SearchKind(
    what="surface",
    result="surface_search",
    shown="region",
    of_leg=False,
    these="this surface",
    them="it",
    not_shown="which part of it is to be searched is not shown: show its corners, or give the photo up.",
    not_told="which part of a photo is to be searched is not shown",
    show_first="On a photo of it no region is shown yet: show its corners, or give the photo up.",
    count_again="Say why it shows this surface in the condition stated, or photograph it again.",
    nothing_searched=(
        "Nothing of the surface counts as searched on any photo: photograph it again, closer and sharp, or "
        "answer by hand and eye."
    ),
    by_hand_left="All of it by hand, mirror and light, whatever the photos show: do it and say so.",
    all_round="All of it",
    look_there="look there with hand and light",
    shown_once="The region is shown once on a photo that has arrived: to show another, search it again.",
    show_before="This photo is not searched yet: wait for what that gives, or show its region first.",
    given_up="Given up: no region was shown on it.",
    give_up_only="Only a photo whose region is not shown yet is given up: what was searched is judged.",
)
KINDS = (HOSES, SURFACES)


def kind_of(this: Try) -> SearchKind | None:
    """Return what a try's photo is searched for; None for a photo that is measured."""
    return next((one for one in KINDS if one.what == this.options.get("what")), None)


def kind_judged(reading: Mapping[str, Any] | None) -> SearchKind | None:
    """Return on photos of which kind the answer or look with this reading was given; None where on none."""
    return next((one for one in KINDS if one.what == (reading or {}).get("what")), None)


def kind_wanted(wanted: ProgrammeItem) -> SearchKind | None:
    """Return what photos of a programme's item are searched for; None where they are for nothing.

    Hoses are an item's own method; a surface is searched beside hand and eye, which never fall away.
    """
    if wanted.method is Method.PHOTO_SEARCH and HOSES.what in wanted.searches:
        return HOSES
    by_eye = wanted.method in (Method.PHOTO_SEARCH, Method.HAND_AND_EYE)
    return SURFACES if by_eye and SURFACES.what in wanted.searches else None


def looks_himself(wanted: ProgrammeItem) -> bool:
    """Return whether the second person on an item's photos has to look at the aircraft himself, too.

    An item by hand and eye stays one, whatever photos show of it.
    """
    kind = kind_wanted(wanted)
    return kind is not None and not kind.of_leg and wanted.seen_from is SeenFrom.AIRCRAFT


def named(hose: str) -> str:
    """Return a hose as it is called in a sentence's beginning."""
    if hose == UNTOLD:
        return "A hose, which one is not told"
    return f"Hose {hose}" if hose else "The hose"
