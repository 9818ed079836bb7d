"""What the pages of a searched photo say of hoses and of a surface; what both share stands in the pages."""

from collections.abc import Mapping
from dataclasses import dataclass

from app.inspection.rounds.model import Judged
from app.inspection.rounds.search_kinds import SearchKind


@dataclass(frozen=True)
class Words:
    """One kind's words, by the page on which they stand."""

    unnamed: str
    """One of its things that bears no name."""
    # overview
    without_photo: str
    no_photo_now: str
    not_shown: str
    from_where: str
    from_where_example: str
    another: str
    # photo
    how: tuple[str, ...]
    stages: tuple[str, ...]
    show_again: str
    photograph_again: str
    cannot_be_shown: str
    why_it_shows: str
    not_mine: str
    # marking
    look_over: str
    # judging
    answers: Mapping[Judged, str]
    this_unnamed: str
    # cover
    uncovered: str
    how_example: str
    from_there: str
    acknowledge: str
    # by hand
    no_photo_replaces: str
    all_round: str
    at_the_thing: str
    # entering
    the_photos: str
    # second
    at_the_aircraft: str


_HOSES = Words(
    unnamed="the hose",
    without_photo="By hand and mirror, without a photo",
    no_photo_now="No photo of these hoses now:",
    not_shown="the hoses are not shown on it yet",
    from_where="From which side the photo shows them",
    from_where_example="front, from below",
    another="Another photo, from another side",
    how=("Square to the hose, close, all of it sharp.", "Light from the side, no flash."),
    stages=("reading the photo", "searching the hoses", "drawing"),
    show_again="Show the hoses on this photo again",
    photograph_again="Photograph the hoses again",
    cannot_be_shown="the photo cannot be shown: photograph the hoses again",
    why_it_shows="Why it shows these hoses in the condition stated",
    not_mine="Another person took this photo and shows its hoses. Where he is away, take one of your own.",
    look_over="Look along every hose on the bare photo",
    answers={
        Judged.WEAR: "the cover is rubbed, thinned, cut or frayed",
        Judged.REFLECTION: "a light mirrored on a sound cover",
        Judged.DIRT: "lies on the cover; wipe it and look",
        Judged.FLUID: "wet: the leak's steps begin",
        Judged.CANNOT_TELL: "looked at by hand, with light and mirror",
    },
    this_unnamed="This hose",
    uncovered=(
        "A photo shows one side. What it did not show, or not sharp enough, is inspected by you: "
        "say of each hose how."
    ),
    how_example="by hand with light and mirror, all round",
    from_there="inspect it, or photograph the hose from there",
    acknowledge="Acknowledge for {}",
    no_photo_replaces=(
        "No photo replaces this: all round every hose, its ends and clamps, with the doors and the steering "
        "at their extremes, where a hose is stretched, bent or rubbed."
    ),
    all_round="What you found all round",
    at_the_thing="at the hose",
    the_photos="The photos of these hoses",
    at_the_aircraft="Look at the hoses by hand instead",
)
_SURFACE = Words(
    unnamed="the surface",
    without_photo="By hand and eye, without a photo",
    no_photo_now="No photo of this surface now:",
    not_shown="its region is not shown yet",
    from_where="Which surface the photo shows, and from where",
    from_where_example="left wall of the wheel well, from below",
    another="Another photo, of another part or in another light",
    how=(
        "Square to the surface, close, all of it sharp, clean and dry.",
        "Light flat from the side; no flash, and no lamp mirrored in it.",
    ),
    stages=("reading the photo", "searching the surface", "drawing"),
    show_again="Show the surface on this photo again",
    photograph_again="Photograph the surface again",
    cannot_be_shown="the photo cannot be shown: photograph the surface again",
    why_it_shows="Why it shows this surface in the condition stated",
    not_mine="Another person took this photo and shows its surface. Where he is away, take one of your own.",
    look_over="Look over all of the surface on the bare photo",
    answers={
        Judged.WEAR: "rubbed, scratched, or worn to another layer",
        Judged.REFLECTION: "a light or a shadow on a sound surface",
        Judged.DIRT: "lies on the surface; wipe it and look",
        Judged.FLUID: "wet: the leak's steps begin",
        Judged.CANNOT_TELL: "looked at by hand, with light and mirror",
    },
    this_unnamed="The surface",
    uncovered=(
        "A photo shows one part in one light. What it did not show, or not sharp enough, is inspected by "
        "you: say how."
    ),
    how_example="by hand with a light held flat, from two sides",
    from_there="inspect it, or photograph it closer",
    acknowledge="Acknowledge for the surface",
    no_photo_replaces=(
        "No photo replaces this: wipe it, feel over all of it, and look with a light held flat and a mirror, "
        "also behind what stands before it. Pits and flaking of chrome are found by hand and eye alone."
    ),
    all_round="What you found on all of it",
    at_the_thing="at the surface",
    the_photos="The photos of this surface",
    at_the_aircraft="Look at the surface without the photos instead",
)


def words_for(kind: SearchKind) -> Words:
    """Return what the pages of one kind say."""
    return _HOSES if kind.of_leg else _SURFACE
