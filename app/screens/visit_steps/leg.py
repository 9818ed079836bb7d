"""A leg's round: how far one is, the next item, and every item to go to or come back to."""

import streamlit as st

from app.inspection import Inspection, ItemState
from app.inspection.rounds.walking import Stop, Walk
from app.screens.here import Here
from app.screens.parts.markup import show, text
from app.screens.visit_steps.just_answered import just_answered
from app.screens.visit_steps.shared import back, head

_STATES = {
    ItemState.TO_DO: "to do",
    ItemState.WAITING: "waits for the second person",
    ItemState.HAND_WANTED: "hand measurement wanted",
    ItemState.DISCREPANCY: "discrepancy",
    ItemState.CLOSED: "closed",
}


def step(here: Here, visit: Inspection, leg_id: str) -> None:
    """Draw the round of a leg."""
    walk = here.inspections.walk(here.person, visit.id, leg_id)
    head(here, visit, "Round", walk.leg.position)
    st.title(f"Round of the {walk.leg.position} leg", anchor=False)
    show(progress_html(walk))
    just_answered(here, visit, walk)
    condition = here.inspections.condition(visit.id)
    now = condition.what if condition else ""
    after = next((one for one in walk.stops if not one.answered and one.wanted.condition == now), None)
    if after is not None:
        label = "Begin" if walk.done == 0 else "Go on"
        if st.button(f"{label}: {after.title}", key="next-item", type="primary", width="stretch"):
            here.go("visit", visit=visit.id, item=after.item.id)
    elif walk.next_after() is not None:
        show('<p class="gw-beside">All that is done in this condition is answered.</p>')
        if st.button("State the next condition", key="next-condition", type="primary", width="stretch"):
            here.go("visit", visit=visit.id, step="condition")
    else:
        show('<p class="gw-beside">Every item of this leg is answered.</p>')
        if st.button("Sign your answers", key="sign-round", type="primary", width="stretch"):
            here.go("visit", visit=visit.id, step="sign")
    _list(here, visit, walk)
    back(here, visit)


def progress_html(walk: Walk) -> str:
    """Return how much of a leg is answered, drawn and in words."""
    total = len(walk.stops)
    share = 100 * walk.done // max(total, 1)
    return (
        f'<div><span class="gw-progress" role="img" aria-label="{walk.done} of {total} answered">'
        f'<i style="width: {share}%"></i></span>'
        f'<small class="gw-note">{walk.done} of {total} answered</small></div>'
    )


def _list(here: Here, visit: Inspection, walk: Walk) -> None:
    group = ""
    for one in walk.stops:
        title = f"{one.group.title} · {one.wanted.condition.replace('_', ' ')}"
        if title != group:
            st.header(title, anchor=False)
            group = title
        if st.button(_label(one), key=f"item-{one.item.id}", type="tertiary"):
            here.go("visit", visit=visit.id, item=one.item.id)


def _label(stop: Stop) -> str:
    if stop.item.state is ItemState.TO_DO:
        return f"{stop.title}: {'answered, not signed' if stop.answered else 'to do'}"
    return f"{stop.title}: {_STATES[stop.item.state]}"


def state_words(stop: Stop) -> str:
    """Return where an item stands, as text that is safe in markup."""
    return text(_label(stop))
