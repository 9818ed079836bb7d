"""The piece of a surface that is to be searched, shown on its photo by its corners."""

import streamlit as st

from app.inspection import Try
from app.inspection.rounds.search_rules import MOST_CORNERS
from app.inspection.rounds.search_views import SearchedPhoto, ShownRegion
from app.screens.components import place_some
from app.screens.parts.markup import complaint, note
from app.screens.visit_steps.searches.searching import give_up, shown_by_another, submit
from app.screens.visit_steps.searches.way import Way
from app.screens.visit_steps.shared import tried

_NEAR = 0.04  # CSS px to a photo px: a corner need not be met closely, so a tap sets it from afar


def show_region(way: Way, this: SearchedPhoto, *, again: bool = False) -> None:
    """Have the region shown by its corners, and the photo searched."""
    if shown_by_another(way, this, "Show the surface on the photo", again=again):
        return
    st.write(
        "Tap two opposite corners of the piece that is to be searched, or three corners and more in their "
        "order round. Leave out what is not this surface; what is not shown is not searched."
    )
    photo = this.try_.photo or ""
    width, height = way.here.photo_size(photo)
    if not width:
        complaint(way.words.cannot_be_shown)
        return
    key = f"region-{this.try_.id}"
    places = place_some(
        photo, width, height, "corner of the surface", MOST_CORNERS,
        key=key, fine=_NEAR, keep_as=f"{way.here.person.id}.{key}", least=2,
    )  # fmt: skip
    if places:
        what = "two opposite corners" if len(places) == 2 else f"{len(places)} corners in their order round"
        note(f"The region has {what}.")
        _search(way, this, ShownRegion(places), again=again)
    if not again:
        give_up(way, this)


def _search(way: Way, this: SearchedPhoto, region: ShownRegion, *, again: bool) -> None:
    use, person, begun = way.here.inspections, way.here.person, list[Try]()
    pressed = st.button("Search this region", key=f"search-{this.try_.id}", type="primary", width="stretch")
    act = use.search_again if again else use.show_region
    if pressed and tried(lambda: begun.append(act(person, this.try_.id, region))):
        submit(way, begun[0])
