"""Third step: the own rule reading first, if wanted; the photo; then waiting while it is measured."""

import streamlit as st

from app.inspection import Try, TryState
from app.screens.components import send_photo
from app.screens.here import Here
from app.screens.parts.guide import drawn_guide
from app.screens.parts.header import steps
from app.screens.parts.lengths import length_input, read_length
from app.screens.parts.markup import complaint, note, show, text
from app.screens.parts.numbers import both_units
from app.screens.parts.pictures import earlier_view_html
from app.screens.parts.words import TRY_STATES, when
from app.screens.round_steps import STEPS
from vision.errors import GearwitnessError


def step(here: Here, work: Try) -> None:
    """Draw the photo's way in, with the guide below it."""
    _head(here, work)
    st.title("Photograph the strut", anchor=False)
    show(
        '<ul class="gw-short"><li>Card on the painted cylinder, its length beside the piston.</li>'
        "<li>Camera level with the collar, square to the card.</li>"
        "<li>Outside every propeller's arc, clear of doors, inlets and exhausts.</li></ul>"
    )
    send_photo(work.id, key=f"photo-{work.id}")
    earlier_view(here, work)
    _own_rule(here, work)
    with st.expander("The guide, drawn", expanded=not _has_photographed(here, work)):
        show(drawn_guide(st.context.theme.type))
    here.link("hand", "No photo possible: measure by hand", item=work.item_id)


def earlier_view(here: Here, work: Try) -> None:
    """Draw the earlier visit's photo of the same, where there is one."""
    found = here.inspections.earlier_view(work.item_id)
    if found is not None and found.photo is not None:
        with st.expander("The same view, earlier visit", expanded=True):
            show(earlier_view_html(found.photo, here.photo_size(found.photo), when(found.begun_at)))


def being_measured(here: Here, work: Try) -> None:
    """Draw how far the measuring is, and go on by itself when it is done."""
    _head(here, work)
    st.title("The photo is stored", anchor=False)
    show("<p>It is kept whatever happens now; this page may be closed or loaded again.</p>")

    @st.fragment(run_every=0.5)
    def progress() -> None:
        now = here.inspections.try_of(here.person, work.id)
        if now.state not in (TryState.STORED, TryState.MEASURING):
            st.rerun()
        before = here.house.jobs.before(work.id)
        stage = now.stage or (f"{before} before yours" if before else TRY_STATES[now.state])
        words = text(stage[:1].upper() + stage[1:])
        show(f'<p class="gw-working" role="status"><i aria-hidden="true"></i>{words}</p>')

    progress()
    here.link("hand", "Measure by hand instead", item=work.item_id)


def _head(here: Here, work: Try) -> None:
    place = here.inspections.place_of(work.item_id)
    here.head(("Aircraft", place.aircraft.registration), ("Leg", place.leg.position))
    show(steps(STEPS, 2))


def _has_photographed(here: Here, work: Try) -> bool:
    story = here.inspections.item_story(here.person, work.item_id)
    return any(
        isinstance(one, Try) and one.performer_id == here.person.id and one.photo for _, one in story.entries
    )


def _was_read(here: Here, work: Try) -> bool:
    """Return whether a photo of this item gave an answer before: a rule reading would not be the first."""
    story = here.inspections.item_story(here.person, work.item_id)
    return any(isinstance(one, Try) and one.result is not None for _, one in story.entries)


def _own_rule(here: Here, work: Try) -> None:
    """Draw the mechanic's own rule reading: before the photo's, or it would no longer be his own."""
    if work.own_hand_mm is not None and work.own_hand_u_mm is not None:
        st.write(f"Your own rule reading: {both_units(work.own_hand_mm, work.own_hand_u_mm)}.")
        return
    if _was_read(here, work):
        return
    with st.expander("Your own rule reading first"), st.form(f"rule-{work.id}", border=False):
        note("Before the photo only: once its value has been shown, a reading is no longer your own.")
        value = length_input("Extension by rule", key=f"rule-value-{work.id}")
        doubt = length_input("± (95 %)", key=f"rule-doubt-{work.id}", placeholder="0.5 mm or 1/32 in")
        if st.form_submit_button("Enter this reading", width="stretch"):
            try:
                value_mm = read_length("the extension", value)
                u_mm = read_length("its ±", doubt)
                here.inspections.own_hand_reading(here.person, work.id, value_mm, u_mm)
            except (ValueError, GearwitnessError) as refused:
                complaint(str(refused))
            else:
                st.rerun()
