"""The mechanic's way with one leg; where it stands is in the address and in the archive.

``/`` the legs; ``/?leg=…`` the condition of one; ``/?draft=…`` one try, from its photo to sent.
"""

import streamlit as st

from app.inspection import Try, TryState
from app.screens.here import Here
from app.screens.round_steps import condition, legs, photo, reading


def page(here: Here) -> None:
    """Draw the step that the address and the archive say it is."""
    draft, leg = st.query_params.get("draft"), st.query_params.get("leg")
    if draft:
        _one_try(here, here.inspections.try_of(here.person, draft))
    elif leg:
        condition.step(here, leg)
    else:
        legs.step(here)


def _one_try(here: Here, work: Try) -> None:
    if work.state is TryState.AWAITING_PHOTO:
        photo.step(here, work)
    elif work.state in (TryState.STORED, TryState.MEASURING):
        photo.being_measured(here, work)
    else:
        reading.step(here, work)
