"""The second person's way with one try: the bare photo, his own points, then all readings, then a signature.

``/confirm?try=…``; which of the two steps it is, the archive says: before the
person's own placing there is nothing of the machine's to be had, here or anywhere.
"""

import streamlit as st

from app.errors import Conflict
from app.screens.confirm_steps import bare, side_by_side
from app.screens.here import Here
from app.screens.parts.header import steps
from app.screens.parts.markup import show, text

STEPS = ("Own reading", "Side by side", "Signed")


def page(here: Here) -> None:
    """Draw the step that the archive says it is."""
    wanted = st.query_params.get("try")
    if wanted is None:
        here.head(("Sheet", "Confirm"))
        st.title("Which photo?", anchor=False)
        here.link("queue", "To what waits")
        return
    try:
        asked = here.inspections.bare(here.person, wanted)
    except Conflict as settled:
        _settled(here, wanted, str(settled))
        return
    here.head(("Aircraft", asked.place.aircraft.registration), ("Leg", asked.place.leg.position))
    if asked.mine is None:
        show(steps(STEPS, 0))
        bare.step(here, asked)
        return
    show(steps(STEPS, 1))
    side_by_side.step(here, here.inspections.comparison(here.person, wanted))


def _settled(here: Here, wanted: str, why: str) -> None:
    """Draw what was signed, by whomever; a try that never was confirmed says so itself."""
    comparison = here.inspections.comparison(here.person, wanted)
    if comparison.confirmation is None:
        raise Conflict(why)
    place = comparison.place
    here.head(("Aircraft", place.aircraft.registration), ("Leg", place.leg.position))
    show(steps(STEPS, 2))
    if comparison.confirmation and comparison.confirmation.confirmer_id != here.person.id:
        show(f'<p class="gw-beside" role="status">{text(why)}</p>')
    side_by_side.step(here, comparison)
