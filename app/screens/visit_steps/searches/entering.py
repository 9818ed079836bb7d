"""What is entered: everything judged once more, limits where there is wear, and what is still missing."""

import streamlit as st

from app.inspection.rounds.model import Finding
from app.inspection.rounds.search_views import DamageLimit, HoseOfLeg, SearchedItem
from app.screens.parts.markup import show, text
from app.screens.visit_steps.searches.judging import listed
from app.screens.visit_steps.searches.way import Way, hose_words, limits_words
from app.screens.visit_steps.shared import tried


def step(way: Way, found: SearchedItem) -> None:
    """Draw the last step, for the first person or for the second."""
    way.steps(5)
    st.header("Store your judgements" if way.second else "Enter what was found", anchor=False)
    if found.locks:
        show('<p class="gw-beside">Not yet:</p>')
        show("<ul>" + "".join(f"<li>{text(one)}</li>" for one in found.locks) + "</ul>")
        if st.button("Go on with what is missing", key="missing-on", type="primary", width="stretch"):
            way.onward()
        way.link(way.words.the_photos)
    else:
        if not way.second:
            show(f'<p class="gw-stands">{text(found.words)}</p>')
        _enter(way, found)
    for photo in found.photos:
        if photo.places:
            st.header(f"Photo {photo.number}", anchor=False)
            listed(way, photo)


def _enter(way: Way, found: SearchedItem) -> None:
    hoses = {one.name: one for one in found.hoses}
    with st.form(f"enter-hoses-{way.item_id}", border=False):
        limits = {}
        for name in found.wear:
            told = _limits(way, name, hoses.get(name))
            if told is not None:
                limits[name] = told
        label = "Store: it is not changed afterwards" if way.second else _label(found)
        pressed = st.form_submit_button(label, type="primary", width="stretch")
    if not pressed:
        return
    use, person = way.here.inspections, way.here.person
    if way.second:
        if tried(lambda: use.look_at_search(person, way.item_id, limits)):
            way.here.go("visit", visit=way.visit.id, step="second")
    elif tried(lambda: use.enter_search(person, way.item_id, limits)):
        way.here.go("visit", visit=way.visit.id, leg=way.stop.item.leg_id, after=way.item_id)


def _limits(way: Way, name: str, hose: HoseOfLeg | None) -> DamageLimit | None:
    """Draw the damage limits of a hose: those of the leg's data, else fields; None where nothing is typed."""
    which = text(hose_words(name, way.words.unnamed))
    show(f'<p class="gw-beside">Damage limits of {which}: {text(limits_words(hose))}</p>')
    if hose is not None and hose.damage_limits:
        return None
    known = hose.document if hose is not None else ""
    document = st.text_input("Document and revision", value=known, key=f"limit-in-{way.item_id}-{name}")
    allows = st.text_input("What it allows", key=f"limit-{way.item_id}-{name}")
    return DamageLimit(document, allows) if allows.strip() else None


def _label(found: SearchedItem) -> str:
    return "Enter: a discrepancy is opened" if found.finding is Finding.FAULT else "Enter what was found"
