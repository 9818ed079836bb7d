"""What the judging of a search hands out to be shown: read-only, gathered from several entries."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from app.inspection.model import Item, Pixel, Try
from app.inspection.rounds.model import (
    BareMarking,
    Finding,
    HandEntry,
    Judged,
    Look,
    LookOutcome,
)
from app.inspection.rounds.search_kinds import SearchKind


@dataclass(frozen=True)
class ShownHose:
    """A hose that a person shows on a photo: its name in the leg's data, and 1 to 9 points along it, px."""

    name: str
    points: tuple[Pixel, ...]


@dataclass(frozen=True)
class ShownRegion:
    """A piece of a surface: two opposite corners, or three corners and more in their order round, px."""

    corners: tuple[Pixel, ...]


@dataclass(frozen=True)
class BareMark:
    """A place that a person sees on the bare photo, px of the upright photo; a word of his is optional."""

    x: float
    y: float
    text: str = ""


@dataclass(frozen=True)
class DamageLimit:
    """What a document says of damage to a hose or a surface, typed in where the leg's data do not hold it."""

    document: str
    allows: str


@dataclass(frozen=True)
class HoseOfLeg:
    """A hose of the leg's data; `why_not` says why no photo of it can be searched, else empty.

    `damage_limits` are its document's words, empty where the leg's data do not hold them.
    """

    name: str
    diameter_mm: float | None
    cover: str | None
    document: str
    why_not: str = ""
    damage_limits: str = ""
    damage_document: str = ""


class Step(StrEnum):
    """What is next with one photo, for the asking person."""

    PHOTO = "photo"
    SHOW = "show"
    SEARCHING = "searching"
    MARK = "mark"
    JUDGE = "judge"
    DONE = "done"
    REFUSED = "refused"
    FAILED = "failed"


class PlaceKind(StrEnum):
    """Who raised a place: the search, the search that set it aside, a person on the bare photo."""

    FLAG = "flag"
    ASIDE = "aside"
    MARK = "mark"


@dataclass(frozen=True)
class SearchedPlace:
    """One place of a photo as the asking person has it.

    Attributes
    ----------
    key : str
        Names it on its photo.
    number : int
        As on the annotated copy; what was brought back and marks go on counting.
    hose, hose_name : int, str
        Among the result's hoses, −1 where none is known; its name in the leg's data, or `UNTOLD`.
        Of a surface −1 and empty.
    outline_px : tuple of (x, y)
        Of a mark its one point.
    along_mm, size_mm : float or None
        From the first end of the hose in the photo; the longest side.
    words : str
        What he wrote to his own mark; nobody else's are told.
    opened, judged, text, judged_at, by_hand
        His own.
    """

    key: str
    kind: PlaceKind
    number: int
    hose: int
    hose_name: str
    outline_px: tuple[Pixel, ...]
    along_mm: float | None
    size_mm: float | None
    grade: int | None
    why: str
    aside_as: str = ""
    words: str = ""
    own: bool = False
    opened: bool = False
    judged: Judged | None = None
    text: str = ""
    judged_at: datetime | None = None
    by_hand: HandEntry | None = None


@dataclass(frozen=True)
class SearchedPhoto:
    """One photo of an item as the asking person may see it.

    `try_` has neither result nor annotated copy, and there are no places, until his own marking is stored.
    `seconds` are only held against it (`hose_pair_rules`): these have no places and no marking of their own.
    """

    try_: Try
    number: int
    step: Step
    marking: BareMarking | None
    places: tuple[SearchedPlace, ...] = ()
    aside: tuple[SearchedPlace, ...] = ()
    seconds: tuple["SearchedPhoto", ...] = ()


@dataclass(frozen=True)
class SearchCoverage:
    """What the photos searched of one hose, or of an item's surface, and what they did not.

    Attributes
    ----------
    hose : str
        The hose's name; empty of a surface.
    lines : tuple of str
        Sentences, photo by photo, then all else.
    least, most : float
        Of the surface of the longest stretch of a hose shown: where all photos show the same, and where none
        does.  Of a surface the lowest and the highest share of the photos' regions.
    acknowledged : HandEntry or None
        His own, as long as nothing has changed since.
    outdated : bool
        He acknowledged it before another photo came.
    """

    hose: str
    lines: tuple[str, ...]
    least: float
    most: float
    acknowledged: HandEntry | None = None
    outdated: bool = False


@dataclass(frozen=True)
class SearchedItem:
    """An item that is searched by photo, as the asking person has it.

    Attributes
    ----------
    locks : tuple of str
        What keeps him from entering what he judged, in order.
    finding, words : Finding or None, str
        What entering would say; None and empty while locked.
    wear : tuple of str
        Hoses on which he judged wear or fluid, or found something by hand: their limits are asked for; of
        a surface the empty name.
    second : bool
        He is the second person here: what was not searched is not asked of him.
    looks_himself : bool
        As the second person he enters what hand, mirror and light found, too, as the item is seen at the
        aircraft.
    wrong_by_hand : tuple of HandEntry
        While it is not answered: what hands, be they another person's, found wrong, so that nothing but a
        fault is answered.
    to_answer : tuple of HandEntry
        Those of them that are other people's: who enters says of each whether it is wear or fluid.  None of
        them is told to the second person.
    answered : bool
        An answer on these photos stands.
    barred : str
        Why he who might be the second person is not: he took one of the photos; else empty.
    rejected : bool
        The photos did not stand: both people look by hand and mirror.
    """

    item: Item
    kind: SearchKind
    hoses: tuple[HoseOfLeg, ...]
    photos: tuple[SearchedPhoto, ...]
    coverage: tuple[SearchCoverage, ...]
    hand_light: HandEntry | None
    locks: tuple[str, ...]
    finding: Finding | None
    words: str
    wear: tuple[str, ...]
    second: bool
    answered: bool
    look: Look | None
    barred: str = ""
    rejected: bool = False
    looks_himself: bool = False
    wrong_by_hand: tuple[HandEntry, ...] = ()
    to_answer: tuple[HandEntry, ...] = ()


@dataclass(frozen=True)
class PlaceShown:
    """What a picture of a place is drawn from: the photo, the result's hose or surface, the place's outline.

    `hose` is None where no course of it is known, as on a refused photo; `surface` alike.
    """

    photo: str
    hose: Mapping[str, Any] | None
    outline_px: tuple[Pixel, ...] = ()
    surface: Mapping[str, Any] | None = None


@dataclass(frozen=True)
class ComparedPlace:
    """One place with what both people took it for; None where one of them did not have it."""

    try_id: str
    place: SearchedPlace
    mine: Judged | None
    first: Judged | None


@dataclass(frozen=True)
class SearchCompared:
    """A second person's judgements beside the first one's, once his own are stored."""

    outcome: LookOutcome
    rows: tuple[ComparedPlace, ...]
