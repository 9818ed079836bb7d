"""What was just answered, above the item that followed by itself: a mistaken tap is seen and taken back."""

import streamlit as st

from app.inspection import STRUT_EXTENSION, Inspection
from app.inspection.rounds.walking import Walk
from app.screens.here import Here
from app.screens.parts.markup import show, text
from app.screens.visit_steps.shared import finding_words, reading_words

MISTAP = "tapped by mistake"
"""The reason that is offered where an answer is taken back at once; the person may write another."""


def just_answered(here: Here, visit: Inspection, walk: Walk) -> None:
    """Draw what the person answered last, with the way to change it while it is not signed.

    Which item it was stands in the address (``&after=``), so that it is there after a reload.
    """
    asked = st.query_params.get("after")
    stop = next((one for one in walk.stops if one.item.id == asked), None)
    if stop is None:
        return
    if stop.item.key == STRUT_EXTENSION:
        if stop.answered:
            show(f'<p class="gw-sent" role="status">Sent to be confirmed: {text(stop.title)}.</p>')
            here.link("archive", "See what was sent", item=stop.item.id)
        return
    mine = stop.mine
    if mine is None:
        return
    said = " · ".join(part for part in (mine.text, reading_words(mine.reading)) if part)
    found = finding_words(mine.finding, mine.reading)
    with st.container(key="gw-just-answered"):
        show(
            f'<p class="gw-beside" role="status">Answered: {text(stop.title)}. '
            f"<b>{text(found)}</b>{f' · {text(said)}' if said else ''}</p>"
        )
        if mine.signature_id is None and st.button("Undo: answer it anew", key="undo", type="tertiary"):
            here.go("visit", visit=visit.id, item=stop.item.id, undo=mine.id)
