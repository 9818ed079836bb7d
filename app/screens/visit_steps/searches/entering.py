"""What is entered: everything judged once more, limits where there is wear, and what is still missing."""

from collections.abc import Mapping

import streamlit as st

from app.inspection.rounds.model import Finding, HandEntry, Judged
from app.inspection.rounds.search_rules import ACTS
from app.inspection.rounds.search_views import DamageLimit, HoseOfLeg, SearchedItem
from app.inspection.rounds.search_words import hand_said
from app.screens.parts.markup import note, show, text
from app.screens.parts.words import when
from app.screens.visit_steps.searches.judging import listed
from app.screens.visit_steps.searches.way import JUDGED, Way, hose_words, limits_words
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
        others = {one.id: _what_it_is(way, one) for one in found.to_answer}
        label = "Store: it is not changed afterwards" if way.second else _label(found)
        pressed = st.form_submit_button(label, type="primary", width="stretch")
    if not pressed:
        return
    use, person = way.here.inspections, way.here.person
    if way.second:
        if tried(lambda: use.look_at_search(person, way.item_id, limits)):
            way.here.go("visit", visit=way.visit.id, step="second")
    elif tried(lambda: use.enter_search(person, way.item_id, limits, _told(others))):
        way.here.go("visit", visit=way.visit.id, leg=way.stop.item.leg_id, after=way.item_id)


def _what_it_is(way: Way, hand: HandEntry) -> Judged | None:
    """Draw what another person's hand found wrong, and ask what it is taken for."""
    who = way.here.name_of(hand.person_id)
    show(
        '<section class="gw-card gw-hurt" aria-label="Found by hand"><h2>By hand another person found</h2>'
        f"<p>{text(hand_said(hand))}</p><p><small>{text(who)}, {text(when(hand.at))}</small></p></section>"
    )
    taken = st.radio(
        "What do you take it for?", ACTS, index=None, key=f"other-{hand.id}",
        format_func=lambda one: f"{JUDGED[one]}: {way.words.answers[one]}",
    )  # fmt: skip
    note(f"If it is neither, {who} enters anew what is found there; until then nothing else is entered.")
    return taken


def _told(others: Mapping[str, Judged | None]) -> dict[str, Judged]:
    return {id_: one for id_, one in others.items() if one is not None}


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
