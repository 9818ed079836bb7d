"""What waits for a second person, by time alone; nothing of any result is on this page."""

from datetime import UTC, datetime

import streamlit as st

from app.inspection import Item, Waiting
from app.screens.here import Here
from app.screens.parts.markup import show, text
from app.screens.parts.words import when


def page(here: Here) -> None:
    """Draw the queue of tries to be confirmed and the items that want a hand measurement."""
    here.head(("Sheet", "Waiting"))
    st.title("Waiting for a second person", anchor=False)
    if here.person.is_inspector:
        _to_confirm(here, here.inspections.queue(here.person))
    else:
        st.write("An inspector reads these photos and signs. What you sent is under Archive and on its leg.")
    st.header("Hand measurements wanted", anchor=False)
    wanted = here.inspections.hand_wanted()
    if not wanted:
        st.write("None.")
    for item in wanted:
        _by_hand(here, item)


def _to_confirm(here: Here, waiting: tuple[Waiting, ...]) -> None:
    if not waiting:
        st.write("Nothing waits for you. Your own work waits for somebody else.")
    for one in waiting:
        words, action = st.columns([3, 2], vertical_alignment="center")
        with words:
            show(
                f'<div class="gw-row"><b>{text(one.place.leg.position.capitalize())}</b>'
                f"<span>{text(one.place.aircraft.registration)} · strut extension</span>"
                f"<small>{text(one.performer.name)}, {text(when(one.sent_at))} "
                f"({text(_ago(one.sent_at))})</small></div>"
            )
        with action:
            if st.button("Read the photo", key=f"read-{one.try_id}", type="primary", width="stretch"):
                here.go("confirm", **{"try": one.try_id})


def _by_hand(here: Here, item: Item) -> None:
    place = here.inspections.place_of(item.id)
    words, action = st.columns([3, 2], vertical_alignment="center")
    people = "two people" if item.hands_wanted > 1 else "one person"
    with words:
        show(
            f'<div class="gw-row"><b>{text(place.leg.position.capitalize())}</b>'
            f"<span>{text(place.aircraft.registration)} · strut extension, by {people}</span></div>"
        )
    with action:
        if st.button("Measure by hand", key=f"hand-{item.id}", width="stretch"):
            here.go("hand", item=item.id)


def _ago(moment: datetime) -> str:
    minutes = int((datetime.now(UTC) - moment).total_seconds() // 60)
    if minutes < 60:
        return f"{max(minutes, 0)} min ago"
    return f"{minutes // 60} h ago" if minutes < 48 * 60 else f"{minutes // (24 * 60)} days ago"
