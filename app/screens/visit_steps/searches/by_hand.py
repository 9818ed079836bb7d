"""Hand, mirror and light, doors and steering at their extremes; and every place that could not be told."""

import streamlit as st

from app.inspection.rounds.model import Finding
from app.inspection.rounds.search_views import SearchedItem, SearchedPhoto, SearchedPlace
from app.screens.parts.markup import complaint, note, show, text
from app.screens.parts.search_pictures import place_html
from app.screens.visit_steps.searches.way import Way, ask_finding, cautions, named, open_by_hand
from app.screens.visit_steps.shared import FINDINGS, tried

ENTER = "Enter what hand, light and mirror found"


def step(way: Way, found: SearchedItem) -> None:
    """Draw the entry that no photo replaces, and the places that wait for a hand."""
    way.steps(4)
    st.header("By hand, with light and mirror", anchor=False)
    cautions(way)
    _light(way, found)
    for photo, place in open_by_hand(found):
        _settle(way, photo, place)
    if found.hand_light is not None and not open_by_hand(found):
        if st.button("Go on", key="hand-on", type="primary", width="stretch"):
            way.onward()
    elif found.hand_light is not None:
        note("What could not be told on a photo is told here, at the hose.")


def ordinary(way: Way, found: SearchedItem) -> bool:
    """Draw the same entry above an item's ordinary answer; return whether "nothing wrong" may follow it."""
    _light(way, found)
    if found.hand_light is None:
        return False
    if found.hand_light.finding is Finding.FAULT:
        note("What you found wrong is entered below: a discrepancy is opened.")
    return found.hand_light.finding is Finding.GOOD


def left_for_correction(way: Way) -> None:
    """Draw it where the person's ordinary answer was given without it: "nothing wrong" would need it."""
    if way.found().hand_light is None:
        with st.expander("By hand, with light and mirror"):
            _all_round(way)


def _light(way: Way, found: SearchedItem) -> None:
    st.write(
        "No photo replaces this: all round every hose, its ends and clamps, with the doors and the steering "
        "at their extremes, where a hose is stretched, bent or rubbed."
    )
    if found.hand_light is None:
        _all_round(way)
        return
    said = found.hand_light.text
    show(
        f'<p class="gw-beside">Entered: {text(FINDINGS[found.hand_light.finding])}'
        f"{text(f'. {said}' if said else '')}</p>"
    )
    with st.expander("Enter it anew"):
        _all_round(way)


def _all_round(way: Way) -> None:
    key = way.item_id
    with st.form(f"hand-{key}", border=False):
        doors = st.text_input("Doors: how they stood, or why there are none", key=f"doors-{key}")
        steering = st.text_input("Steering: how it stood, or why there is none", key=f"steering-{key}")
        finding, wet = ask_finding(f"hand-found-{key}", "What you found all round")
        words = st.text_input("What is wrong and where, if anything", key=f"hand-words-{key}")
        pressed = st.form_submit_button(ENTER, type="primary", width="stretch")
    if not pressed:
        return
    use, person = way.here.inspections, way.here.person
    if finding is None:
        complaint("say what you found all round")
    elif tried(lambda: use.hand_light(person, key, doors, steering, finding, words, wet=wet)):
        st.rerun()


def _settle(way: Way, photo: SearchedPhoto, place: SearchedPlace) -> None:
    key = f"{photo.try_.id}-{place.key}"
    st.header(f"Could not be told: {named(place)}, photo {photo.number}", anchor=False)
    with st.container(key=f"gw-judge-{place.key}"):
        with st.container():
            show(
                place_html(photo.try_.id, place.key, lines=True, words=named(place), straight=place.hose >= 0)
            )
        with st.container(), st.form(f"settle-{key}", border=False):
            finding, wet = ask_finding(f"settle-found-{key}", "At the hose, with light and mirror")
            words = st.text_input("What you saw and felt there", key=f"settle-words-{key}")
            pressed = st.form_submit_button("Enter it", width="stretch")
    if not pressed:
        return
    use, person = way.here.inspections, way.here.person
    if finding is None:
        complaint("say what you found at the hose")
    elif tried(lambda: use.settle_by_hand(person, photo.try_.id, place.key, finding, words, wet=wet)):
        st.rerun()
