"""What the search set aside on a photo, each with its reason: any can be brought back and judged."""

import streamlit as st

from app.inspection.rounds.search_views import SearchedPhoto
from app.screens.parts.markup import show
from app.screens.parts.search_pictures import row_html
from app.screens.visit_steps.searches.way import Way, named, told


def step(way: Way, this: SearchedPhoto) -> None:
    """Draw them; bringing one back is a way to its place."""
    way.steps(2)
    st.header(f"Set aside by the search: {len(this.aside)}", anchor=False)
    st.write(
        "These stood out too and were set aside for the reason beside each. "
        "The program may be wrong: bring back what you would judge yourself."
    )
    for number, one in enumerate(this.aside, 1):
        with st.container(key=f"gw-place-{one.key}"):
            words = one.aside_as.replace("_", " ").capitalize()
            show(
                row_html(this.try_.id, one.key, head=words, what=named(one), beside=told(one), kind=way.kind)
            )
            if st.button(f"Bring back {number}", key=f"back-{one.key}", width="stretch"):
                way.go(draft=this.try_.id, place=one.key)
    brought = any(one.kind == "aside" for one in this.places)
    label = f"Leave {'the others' if brought else 'them'} set aside" if this.aside else "Go on"
    if st.button(label, key="aside-on", type="primary", width="stretch"):
        way.onward()
