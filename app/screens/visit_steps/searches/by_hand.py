"""Hand, mirror and light, doors and steering at their extremes; and every place that could not be told."""

import streamlit as st

from app.inspection.rounds.model import Finding
from app.inspection.rounds.search_views import SearchedItem, SearchedPhoto, SearchedPlace
from app.inspection.rounds.search_words import hand_said
from app.screens.parts.markup import complaint, note, show, text
from app.screens.visit_steps.searches.way import Way, ask_finding, cautions, named, open_by_hand, picture
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
        note(f"What could not be told on a photo is told here, {way.words.at_the_thing}.")


def ordinary(way: Way, found: SearchedItem) -> bool:
    """Draw the same entry above an item's ordinary answer; return whether "nothing wrong" may follow it.

    An item by hand and eye is that entry itself, unless photos of it did not stand.  It follows no fault
    that a hand found, wherever that was entered.
    """
    needs_light = way.kind.of_leg or found.rejected
    if needs_light:
        _light(way, found)
    if found.wrong_by_hand:
        said = "; ".join(hand_said(one) for one in found.wrong_by_hand)
        note(f"By hand something wrong was found ({said}). It is entered below: a discrepancy is opened.")
        return False
    return not needs_light or found.hand_light is not None


def left_for_correction(way: Way) -> None:
    """Draw it where the person's ordinary answer was given without it: "nothing wrong" would need it."""
    if way.kind.of_leg and way.found().hand_light is None:
        with st.expander("By hand, with light and mirror"):
            _all_round(way)


def _light(way: Way, found: SearchedItem) -> None:
    st.write(way.words.no_photo_replaces)
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
        told = _how(way)
        finding, wet = ask_finding(f"hand-found-{key}", way.words.all_round)
        words = st.text_input("What is wrong and where, if anything", key=f"hand-words-{key}")
        pressed = st.form_submit_button(ENTER, type="primary", width="stretch")
    if not pressed:
        return
    if finding is None:
        complaint(f"say {way.words.all_round[:1].lower()}{way.words.all_round[1:]}")
        return
    if tried(lambda: _enter(way, told, finding, words, wet=wet)):
        st.rerun()


def _enter(way: Way, told: list[str], finding: Finding, words: str, *, wet: bool) -> None:
    use, person, item = way.here.inspections, way.here.person, way.item_id
    if way.kind.of_leg:
        doors, steering = told
        use.hand_light(person, item, doors, steering, finding, words, wet=wet)
    else:
        use.all_by_hand(person, item, told[0], finding, words, wet=wet)


def _how(way: Way) -> list[str]:
    """Draw what is asked of how it was done: of hoses where doors and steering stood."""
    key = way.item_id
    if not way.kind.of_leg:
        return [st.text_input("How", key=f"all-how-{key}", placeholder=way.words.how_example)]
    return [
        st.text_input("Doors: how they stood, or why there are none", key=f"doors-{key}"),
        st.text_input("Steering: how it stood, or why there is none", key=f"steering-{key}"),
    ]


def _settle(way: Way, photo: SearchedPhoto, place: SearchedPlace) -> None:
    key, where = f"{photo.try_.id}-{place.key}", way.words.at_the_thing
    st.header(f"Could not be told: {named(place)}, photo {photo.number}", anchor=False)
    with st.container(key=f"gw-judge-{place.key}"):
        with st.container():
            show(picture(way, photo, place, lines=True, words=named(place)))
        with st.container(), st.form(f"settle-{key}", border=False):
            finding, wet = ask_finding(
                f"settle-found-{key}", f"{where[:1].upper()}{where[1:]}, with light and mirror"
            )
            words = st.text_input("What you saw and felt there", key=f"settle-words-{key}")
            pressed = st.form_submit_button("Enter it", width="stretch")
    if not pressed:
        return
    use, person = way.here.inspections, way.here.person
    if finding is None:
        complaint(f"say what you found {where}")
    elif tried(lambda: use.settle_by_hand(person, photo.try_.id, place.key, finding, words, wet=wet)):
        st.rerun()
