"""The aircraft's discrepancies, carried ones first."""

import streamlit as st

from app.inspection import DiscrepancyState, Inspection
from app.inspection.rounds.cases import Case
from app.screens.here import Here
from app.screens.parts.markup import show, text
from app.screens.parts.words import when
from app.screens.visit_steps.shared import back, head

STATES = {
    DiscrepancyState.OPEN: "Open",
    DiscrepancyState.ACTED: "Acted on, to be looked at again",
    DiscrepancyState.DEFERRED: "Deferred",
    DiscrepancyState.CLEARED: "Cleared",
}


def step(here: Here, visit: Inspection) -> None:
    """Draw the list."""
    head(here, visit, "Discrepancies")
    st.title("Discrepancies", anchor=False)
    found = here.inspections.cases(visit.id)
    if not found:
        st.write("None is open on this aircraft.")
    for one in found:
        words, action = st.columns([3, 2], vertical_alignment="center")
        with words:
            show(case_html(here, one))
        with action:
            if st.button("Open it", key=f"case-{one.discrepancy.id}", width="stretch"):
                here.go("visit", visit=visit.id, case=one.discrepancy.id)
    back(here, visit)


def case_html(here: Here, one: Case) -> str:
    """Return a discrepancy as a row."""
    carried = "carried from an earlier visit · " if one.carried else ""
    due = ""
    if one.deferral is not None:
        until = one.deferral.due_on or f"{one.deferral.due_landings} landings"
        due = f" · until {until} · {one.deferral.category}"
    who = here.name_of(one.discrepancy.opened_by)
    return (
        f'<div class="gw-row"><b>{text(one.discrepancy.text)}</b>'
        f'<span class="gw-state">{text(STATES[one.discrepancy.state])}{text(due)}</span>'
        f"<small>{text(one.discrepancy.place)}</small>"
        f"<small>{carried}{text(who)}, {text(when(one.discrepancy.opened_at))}</small></div>"
    )
