"""Where a person is on his way through an item's hoses, and what comes next."""

from dataclasses import dataclass
from typing import NoReturn

import streamlit as st

from app.inspection import Inspection
from app.inspection.rounds.model import Finding, Judged
from app.inspection.rounds.photo_age import question_of
from app.inspection.rounds.search_kinds import UNTOLD, SearchKind, kind_wanted, looks_himself
from app.inspection.rounds.search_kinds import named as named_hose
from app.inspection.rounds.search_views import (
    HoseOfLeg,
    PlaceKind,
    SearchedItem,
    SearchedPhoto,
    SearchedPlace,
)
from app.inspection.rounds.walking import Stop
from app.screens.here import Here
from app.screens.parts.guide import drawn_hose_guide, drawn_surface_guide
from app.screens.parts.header import steps
from app.screens.parts.markup import show, text
from app.screens.parts.search_pictures import place_html
from app.screens.visit_steps.searches.words import Words, words_for

STEPS = ("Photo", "Mark", "Judge", "Not seen", "By hand", "Enter")
_OF_SECOND, _HIMSELF = (0, 1, 2, 5), (0, 1, 2, 4, 5)
"""Which of them are the second person's; where he looks at the aircraft himself, too."""

JUDGED: dict[Judged, str] = {
    Judged.WEAR: "Wear",
    Judged.REFLECTION: "Reflection",
    Judged.DIRT: "Dirt",
    Judged.FLUID: "Fluid",
    Judged.CANNOT_TELL: "Cannot tell",
}
_FOUND = {
    "Nothing wrong": (Finding.GOOD, False),
    "Something is wrong": (Finding.FAULT, False),
    "It is wet: the leak's steps begin": (Finding.FAULT, True),
}
GRADES = {1: "faint", 2: "clear", 3: "strong"}


@dataclass(frozen=True)
class Way:
    """One person at one item; `second` where he is the second one, who looks from his own address."""

    here: Here
    visit: Inspection
    stop: Stop
    second: bool = False

    @property
    def kind(self) -> SearchKind:
        """What photos of the item are searched for."""
        kind = kind_wanted(self.stop.wanted)
        assert kind is not None
        return kind

    @property
    def words(self) -> Words:
        """What its pages say of that."""
        return words_for(self.kind)

    @property
    def item_id(self) -> str:
        """The item's id."""
        return self.stop.item.id

    def found(self) -> SearchedItem:
        """Return where the person stands with this item, read anew."""
        return self.here.inspections.searched_item(self.here.person, self.item_id)

    def go(self, **more: str) -> NoReturn:
        """Leave for another step of this item."""
        self.here.go("visit", **self._address(more))

    def link(self, label: str, **more: str) -> None:
        """Draw the way to another step of this item."""
        self.here.link("visit", label, **self._address(more))

    def onward(self) -> NoReturn:
        """Leave for what comes next on this item."""
        self.go(**following(self.found()))

    def steps(self, current: int) -> None:
        """Draw the steps, those of the second person without what is not asked of him."""
        if not self.second:
            show(steps(STEPS, current))
            return
        mine = _HIMSELF if looks_himself(self.stop.wanted) else _OF_SECOND
        names = [STEPS[one] for one in mine[:-1]]
        show(steps((*names, "Store"), mine.index(current) if current in mine else len(names)))

    def _address(self, more: dict[str, str]) -> dict[str, str]:
        return {"visit": self.visit.id, "look" if self.second else "item": self.item_id, **more}


def following(found: SearchedItem) -> dict[str, str]:
    """Return the address of what comes next: photos in their order, then what is not one photo's."""
    if found.rejected:
        return {}
    taken = [one for one in found.photos if one.step != "photo"]
    # One that was begun and never taken is gone on with only where there is no other.
    photos = taken if taken or found.second else found.photos
    on_photos = (_left_on(photo, second=found.second) for photo in photos)
    left = next(filter(None, on_photos), None)
    if left is not None:
        return left
    if found.second:
        return {"part": "hand" if found.looks_himself and found.hand_light is None else "enter"}
    if any(one.acknowledged is None for one in found.coverage):
        return {"part": "cover"}
    if found.hand_light is None or open_by_hand(found):
        return {"part": "hand"}
    return {"part": "enter"}


def _left_on(photo: SearchedPhoto, *, second: bool) -> dict[str, str] | None:
    draft = {"draft": photo.try_.id}
    if photo.step in ("photo", "show", "searching", "mark"):
        return draft
    waiting = next((one for one in photo.seconds if one.step in ("show", "searching")), None)
    if waiting is not None:
        return {"draft": waiting.try_.id}
    place = next_place(photo)
    if place is not None:
        return {**draft, "place": place.key}
    is_judged = photo.step == "done" or bool(photo.places)
    return draft if is_judged and not second and question_of(photo.try_) else None


def next_place(photo: SearchedPhoto) -> SearchedPlace | None:
    """Return the first place of a photo that this person has not judged."""
    return next((one for one in photo.places if one.judged is None), None)


def open_by_hand(found: SearchedItem) -> list[tuple[SearchedPhoto, SearchedPlace]]:
    """Return the places that he could not tell and has not looked at by hand since."""
    if found.second:
        return []
    return [
        (photo, one)
        for photo in found.photos
        for one in photo.places
        if one.judged is Judged.CANNOT_TELL and one.by_hand is None
    ]


def photo_of(found: SearchedItem, draft: str) -> SearchedPhoto | None:
    """Return the item's photo of this try."""
    return next((one for one in found.photos if one.try_.id == draft), None)


def second_of(found: SearchedItem, draft: str) -> tuple[SearchedPhoto, SearchedPhoto] | None:
    """Return the photo against which a second one is held, and that one; None where this try is none."""
    pairs = ((first, one) for first in found.photos for one in first.seconds)
    return next(((first, one) for first, one in pairs if one.try_.id == draft), None)


def named(place: SearchedPlace) -> str:
    """Return what a place is, in a few words."""
    if place.own:
        return f"your mark{f', {place.words}' if place.words else ''}"
    what = {PlaceKind.FLAG: "flag", PlaceKind.ASIDE: "set aside", PlaceKind.MARK: "marked"}[place.kind]
    if place.hose_name == UNTOLD:
        return f"{what} beside the hoses"
    return f"{what}{f' on {place.hose_name}' if place.hose_name else ''}"


def hose_words(name: str, unnamed: str) -> str:
    """Return a hose as it is called; `unnamed` where the leg has one that bears no name."""
    return named_hose(name) if name == UNTOLD else name or unnamed


def told(place: SearchedPlace) -> str:
    """Return how strong, how large and where a place is, and why it stands out."""
    parts = [
        GRADES.get(place.grade or 0, ""),
        "" if place.size_mm is None else f"{place.size_mm:.0f} mm",
        "" if place.along_mm is None else f"{place.along_mm:.0f} mm along",
        place.why,
    ]
    return ", ".join(part for part in parts if part)


def limits_words(hose: HoseOfLeg | None) -> str:
    """Return what a hose's document allows, or which document is to be asked."""
    if hose is not None and hose.damage_limits:
        return f"{hose.damage_document}: {hose.damage_limits}"
    document = f" ({hose.document})" if hose is not None and hose.document else ""
    return f"The leg's data do not hold them: have the document before you{document}, and write them down."


def picture(way: Way, photo: SearchedPhoto, place: SearchedPlace, *, lines: bool, words: str) -> str:
    """Return a place in its photo, with what is known of where on its hose or in its region it lies."""
    known = place.hose >= 0 if way.kind.of_leg else bool((photo.try_.result or {}).get("surface"))
    return place_html(photo.try_.id, place.key, lines=lines, words=words, straight=known, kind=way.kind)


def drawn_guide(way: Way) -> str:
    """Return the drawings of how what is searched is photographed."""
    drawn = drawn_hose_guide if way.kind.of_leg else drawn_surface_guide
    return drawn(st.context.theme.type)


def cautions(way: Way) -> None:
    """Draw the item's cautions open: here it can hurt."""
    found = way.here.inspections.cautions_of(way.item_id)
    if not found:
        return
    lines = "".join(f"<p><b>{text(one.title)}.</b> {text(one.text)}</p>" for one in found)
    show(f'<section class="gw-card gw-hurt" aria-label="Cautions">{lines}</section>')


def ask_finding(key: str, question: str) -> tuple[Finding | None, bool]:
    """Draw a question with its three answers, none of them set beforehand.

    Returns
    -------
    Finding or None, bool
        What was found, None while it is not answered; whether it is wet.
    """
    chosen = st.radio(question, tuple(_FOUND), index=None, key=key)
    return _FOUND.get(chosen or "", (None, False))
