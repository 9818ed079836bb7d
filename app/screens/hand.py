"""A measurement by rule or gauge at the aircraft, signed: always one tap away from a photo's answer."""

import streamlit as st

from app.inspection import HandReading, Item, ItemState, Place
from app.screens.here import Here
from app.screens.parts.lengths import length_input, read_length
from app.screens.parts.markup import complaint, facts, show
from app.screens.parts.numbers import both_units
from app.screens.parts.words import ITEM_STATES, when
from vision.errors import GearwitnessError

TO_DO = "No photo reading is there: a second person then measures by hand, too."
BESIDE = "It stands beside the photo reading; who confirms that sees it after placing his own ends."
WANTED = {
    1: "One person measures: it stands beside the photo reading, which is supporting on this leg.",
    2: "Two people measure, each by himself, one of them an inspector; the photo reading does not stand.",
}


def page(here: Here) -> None:
    """Draw the form for one item's hand measurement; ``?item=…`` says which."""
    wanted = st.query_params.get("item")
    if wanted is None:
        here.head(("Sheet", "Hand measurement"))
        st.title("Which strut was measured?", anchor=False)
        here.link("round", "Choose the leg")
        return
    place = here.inspections.place_of(wanted)
    here.head(("Aircraft", place.aircraft.registration), ("Leg", place.leg.position))
    st.title("Measured by hand", anchor=False)
    show(facts([("Item", "Strut extension"), ("State", ITEM_STATES[place.item.state])]))
    done = st.query_params.get("entered")
    if done:
        _entered(here, place, done)
        return
    if place.item.state is ItemState.CLOSED:
        st.write("This item is closed and takes no further measurement.")
    else:
        st.write(_what_it_does(place.item))
        _form(here, place.item)
    here.link("archive", "Everything on this item", item=wanted)


def _what_it_does(item: Item) -> str:
    if item.state is ItemState.HAND_WANTED:
        return WANTED[min(max(item.hands_wanted, 1), 2)]
    return TO_DO if item.state is ItemState.TO_DO else BESIDE


def _form(here: Here, item: Item) -> None:
    with st.form(f"hand-{item.id}", border=False):
        value = length_input("Strut extension by rule or gauge", key=f"hand-value-{item.id}")
        doubt = length_input("± (95 %)", key=f"hand-doubt-{item.id}", placeholder="0.5 mm or 1/32 in")
        instrument = st.text_input(
            "Instrument and its number",
            key=f"hand-instrument-{item.id}",
            placeholder="steel rule 17, due 2027-03",
        )
        password = st.text_input(
            "Your password: it signs this measurement",
            type="password",
            key=f"hand-password-{item.id}",
            autocomplete="off",
        )
        if st.form_submit_button("Sign this measurement", type="primary", width="stretch"):
            _enter(here, item, value, doubt, instrument, password)


def _enter(here: Here, item: Item, value: str, doubt: str, instrument: str, password: str) -> None:
    try:
        value_mm = read_length("the extension", value)
        u_mm = read_length("its ±", doubt)
        if not instrument.strip():
            msg = "the instrument is missing: write which rule or gauge, and its number"
            raise ValueError(msg)
        entered = here.inspections.hand_measurement(
            here.person, item.id, value_mm, u_mm, instrument.strip(), password
        )
    except (ValueError, GearwitnessError) as refused:
        complaint(str(refused))
        return
    # In the address, so that a reload shows what was entered and not the form again.
    here.go("hand", item=item.id, entered=entered.id)


def _entered(here: Here, place: Place, reading_id: str) -> None:
    story = here.inspections.item_story(here.person, place.item.id)
    for _, entry in story.entries:
        if isinstance(entry, HandReading) and entry.id == reading_id:
            value = both_units(entry.value_mm, entry.expanded_u_mm)
            show(facts([("Entered", value), ("With", entry.instrument), ("At", when(entry.at))]))
    if place.item.state is ItemState.HAND_WANTED:
        st.write("The item waits for another person's hand measurement.")
    here.links(("round", "To the legs", {}), ("archive", "Everything on this item", {"item": place.item.id}))
