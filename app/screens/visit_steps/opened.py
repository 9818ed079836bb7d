"""What stands open on the gear, and what was counted out to it: entered the moment it happens."""

import streamlit as st

from app.inspection import Inspection
from app.inspection.rounds.model import Opened, OpenedKind, Out, OutKind
from app.inspection.rounds.said_once import named
from app.screens.here import Here
from app.screens.parts.markup import show, text
from app.screens.parts.words import when
from app.screens.visit_steps.shared import back, head, tried

OPENED = {
    OpenedKind.STRUT_DISCHARGED: "Strut discharged",
    OpenedKind.NUT_UNPINNED: "Nut unpinned",
    OpenedKind.LINE_OPEN: "Line open",
    OpenedKind.CAP_OFF: "Cap off",
    OpenedKind.PANEL_OFF: "Panel off",
    OpenedKind.DISCONNECTED: "Disconnected",
    OpenedKind.OTHER: "Something else",
}
OUT = {OutKind.CARD: "Scale card", OutKind.PHONE: "Phone", OutKind.PIN: "Pins", OutKind.TOOL: "Tool"}


def step(here: Here, visit: Inspection) -> None:
    """Draw both lists with their forms."""
    head(here, visit, "Open and out")
    use = here.inspections
    opened, out = use.opened_and_out(visit.id)
    st.title("Opened, and counted out", anchor=False)
    st.write("Both block the swing and the sign-off until all is closed and counted in.")
    st.header("Counted out", anchor=False)
    for one in out:
        _out(here, one)
    with st.expander("Count out", expanded=not out), st.form("count-out", border=False, clear_on_submit=True):
        kind = st.selectbox("What", list(OUT), format_func=lambda it: OUT[it], key="out-kind")
        name = st.text_input("Name or number", key="out-name")
        quantity = st.number_input("How many", value=1, min_value=1, step=1, key="out-quantity")
        if st.form_submit_button("Count out", width="stretch") and tried(
            lambda: use.count_out(here.person, visit.id, kind, name, quantity)
        ):
            st.rerun()
    st.header("Opened", anchor=False)
    legs = {one.id: one.position for one in use.legs(visit.aircraft_id)}
    for it in opened:
        _opened(here, it, legs)
    with (
        st.expander("Enter something opened", expanded=not opened),
        st.form("opened", border=False, clear_on_submit=True),
    ):
        leg = st.selectbox("Leg", list(legs), format_func=lambda it: legs[it], key="opened-leg")
        what = st.selectbox("What", list(OPENED), format_func=lambda it: OPENED[it], key="opened-kind")
        place = st.text_input("Where exactly", key="opened-place")
        if st.form_submit_button("It is open now", width="stretch") and tried(
            lambda: use.opened(here.person, visit.id, leg, what, place)
        ):
            st.rerun()
    back(here, visit)


def _out(here: Here, one: Out) -> None:
    words, action = st.columns([3, 2], vertical_alignment="center")
    state = "all in" if one.back == one.quantity else f"{one.quantity - one.back} of {one.quantity} out"
    with words:
        show(
            f'<div class="gw-row"><b>{text(named(OUT[one.kind], one.name))}</b>'
            f'<span class="gw-state">{text(state)}</span>'
            f"<small>{text(here.name_of(one.by))}, {text(when(one.at))}</small></div>"
        )
    if one.back == one.quantity:
        return
    with action, st.form(f"in-{one.id}", border=False):
        back_ = st.number_input(
            "In again, of all",
            value=None,
            min_value=one.back,
            max_value=one.quantity,
            step=1,
            key=f"in-{one.id}-n",
        )
        if (
            st.form_submit_button("Count in", width="stretch")
            and back_ is not None
            and tried(lambda: here.inspections.count_in(here.person, one.id, back_))
        ):
            st.rerun()


def _opened(here: Here, one: Opened, legs: dict[str, str]) -> None:
    words, action = st.columns([3, 2], vertical_alignment="center")
    state = "open" if one.closed_at is None else f"closed {when(one.closed_at)}"
    with words:
        show(
            f'<div class="gw-row"><b>{text(OPENED[one.kind])}: {text(one.place)}</b>'
            f'<span class="gw-state">{text(state)}</span>'
            f"<small>{text(legs.get(one.leg_id, ''))} · {text(here.name_of(one.by))}, "
            f"{text(when(one.at))}</small></div>"
        )
    with action:
        if (
            one.closed_at is None
            and st.button("It is closed", key=f"close-{one.id}", width="stretch")
            and tried(lambda: here.inspections.closed_again(here.person, one.id))
        ):
            st.rerun()
