"""What a person sees on the bare photo, before any flag is shown: his own marks, or that he sees none."""

import streamlit as st

from app.inspection.rounds.search_views import BareMark, SearchedPhoto
from app.screens.components import place_some
from app.screens.parts.markup import complaint, show
from app.screens.visit_steps.searches.searching import progress
from app.screens.visit_steps.searches.way import Way
from app.screens.visit_steps.shared import tried

MOST_MARKS = 20
_NEAR = 0.5  # CSS px to a photo px
_NONE = "I see none on the bare photo"


def step(way: Way, this: SearchedPhoto) -> None:
    """Draw the bare photo with the person's marks; the search may still run meanwhile."""
    way.steps(1)
    st.header("What do you see yourself?", anchor=False)
    st.write(
        f"{way.words.look_over} and mark each place that you would look at closer. "
        "What the search flagged is shown only after that; your marks are final then, "
        "and are judged beside its flags."
    )
    if this.step == "searching":
        progress(way, this)
    bare = this.try_.photo or ""
    width, height = way.here.photo_size(bare)
    if not width:
        complaint(way.words.cannot_be_shown)
        return
    key = f"seen-{this.try_.id}"
    places = place_some(
        bare, width, height, "place you would look at closer", MOST_MARKS,
        key=key, fine=_NEAR, keep_as=f"{way.here.person.id}.{key}",
    )  # fmt: skip
    if not places:
        show('<p class="gw-note">None? Then say so: it is stored as your statement on this photo.</p>')
        if st.button(_NONE, key=f"none-{this.try_.id}", width="stretch"):
            _store(way, this, [], none_seen=True)
        return
    with st.form(f"marks-{this.try_.id}-{len(places)}", border=False):
        words = [
            st.text_input(f"What you see at {number} (may be left out)", key=f"said-{key}-{number}")
            for number in range(1, len(places) + 1)
        ]
        pressed = st.form_submit_button("Store my marks", type="primary", width="stretch")
    if pressed:
        marks = [BareMark(x, y, said) for (x, y), said in zip(places, words, strict=True)]
        _store(way, this, marks, none_seen=False)


def _store(way: Way, this: SearchedPhoto, marks: list[BareMark], *, none_seen: bool) -> None:
    use, person = way.here.inspections, way.here.person
    if tried(lambda: use.mark_bare(person, this.try_.id, marks, none_seen)):
        way.onward()
