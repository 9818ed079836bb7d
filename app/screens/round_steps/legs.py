"""First step: the aircraft, its legs, and where each stands on this visit."""

import streamlit as st

from app.inspection import Aircraft, Item, ItemState, LegEntry
from app.screens.here import Here
from app.screens.parts.header import steps
from app.screens.parts.leg_row import leg_row
from app.screens.parts.markup import complaint, note, show
from app.screens.parts.visits import open_items
from app.screens.round_steps import STEPS
from vision.errors import GearwitnessError

_PHOTOGRAPHED = (ItemState.TO_DO, ItemState.HAND_WANTED, ItemState.DISCREPANCY)
"""The states in which another photo can say something; what waits or is closed takes none."""


def step(here: Here) -> None:
    """Draw every aircraft with its legs."""
    here.head(("Sheet", "Legs"))
    show(steps(STEPS, 0))
    st.title("Which leg?", anchor=False)
    aircraft = here.inspections.aircraft()
    if not aircraft:
        st.write("There is no aircraft in this archive yet.")
    for one in aircraft:
        _one_aircraft(here, one)


def _one_aircraft(here: Here, aircraft: Aircraft) -> None:
    st.header(f"{aircraft.registration} · {aircraft.kind}", anchor=False)
    note(aircraft.operator)
    if here.person.is_mechanic:
        here.link("gathered", "Photos taken without a network", key=f"g-{aircraft.id}", aircraft=aircraft.id)
    items = open_items(here.inspections, aircraft.id)
    if _whole_visit(here, aircraft):
        return
    for leg in here.inspections.legs(aircraft.id):
        with st.container(key=f"gw-leg-{leg.id}"):
            _one_leg(here, leg, items.get(leg.id))
    if any(one.state is ItemState.DISCREPANCY for one in items.values()):
        visit = next(iter(items.values())).inspection_id
        here.link("visit", "Discrepancies", key=f"cases-{aircraft.id}", visit=visit, step="cases")
    if items:
        _close(here, next(iter(items.values())).inspection_id)


def _whole_visit(here: Here, aircraft: Aircraft) -> bool:
    """Draw the way into a visit that follows a programme; return whether there is one."""
    use = here.inspections
    now = next(
        (one for one in use.inspections() if one.aircraft_id == aircraft.id and not one.closed_at), None
    )
    if now is not None and use.programme_of(now.id) is not None:
        if st.button("Go on with the visit", key=f"visit-{aircraft.id}", type="primary", width="stretch"):
            here.go("visit", visit=now.id)
        return True
    followed = use.programme_followed(aircraft.id)
    if now is None and followed is not None:
        note(f"{followed.name}, revision {followed.revision or 'not told'}")
        if here.person.is_worker and st.button(
            "Open a visit", key=f"open-{aircraft.id}", type="primary", width="stretch"
        ):
            opened = use.open_inspection(here.person, aircraft.id).id
            if any(one.carried for one in use.cases(opened)):
                here.go("visit", visit=opened)  # what an earlier visit left is read first
            here.go("visit", visit=opened, step="condition")
        return True
    return False


def _close(here: Here, inspection_id: str) -> None:
    """Draw the end of the visit: what is closed takes no photo, and the next visit begins anew."""
    with st.expander("End this visit"):
        st.write("Legs that are still to do then count as not inspected. Nothing in it changes any more.")
        if st.button("Close this inspection", key=f"close-{inspection_id}"):
            try:
                here.inspections.close_inspection(here.person, inspection_id)
            except GearwitnessError as refused:
                complaint(str(refused))
            else:
                st.rerun()


def _one_leg(here: Here, leg: LegEntry, item: Item | None) -> None:
    state = item.state if item else ItemState.TO_DO
    words, action = st.columns([3, 2], vertical_alignment="center")
    with words:
        show(leg_row(leg, state, st.context.theme.type))
    with action:
        primary = state is ItemState.TO_DO
        if state in _PHOTOGRAPHED and st.button(
            "Photograph" if primary else "Photograph again",
            key=f"photograph-{leg.id}",
            type="primary" if primary else "secondary",
            width="stretch",
        ):
            here.go("round", leg=leg.id)
        if (
            item
            and state is ItemState.HAND_WANTED
            and st.button("Measure by hand", key=f"hand-{leg.id}", type="primary", width="stretch")
        ):
            here.go("hand", item=item.id)
        if item and state in (ItemState.TO_DO, ItemState.WAITING):
            here.link("hand", "Measure by hand", item=item.id)
        if item and state is not ItemState.TO_DO:
            here.link("archive", "Everything on this item", item=item.id)
