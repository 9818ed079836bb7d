"""The second person at the aircraft: his own answer first, then both side by side, then his signature."""

import streamlit as st

from app.inspection import STRUT_EXTENSION, Inspection
from app.inspection.rounds.given import Given
from app.inspection.rounds.looks import Compared
from app.inspection.rounds.model import LookOutcome
from app.screens.here import Here
from app.screens.parts.markup import note, show
from app.screens.visit_steps import tire_placing
from app.screens.visit_steps.forms import answer_form
from app.screens.visit_steps.item import guide_html
from app.screens.visit_steps.searches import second as hoses
from app.screens.visit_steps.shared import (
    back,
    finding_words,
    head,
    is_judged,
    line_html,
    listing,
    reading_words,
    sign,
    tried,
)

OUTCOMES = {
    LookOutcome.CLOSED: "Both agree: the item closes.",
    LookOutcome.DISCREPANCY: "Something is wrong: a discrepancy is opened.",
    LookOutcome.ANEW: "The answers differ: both answer anew.",
}

_BY_HAND = "It cannot be told from the photos: both look by hand and mirror, and answer anew."


def step(here: Here, visit: Inspection) -> None:
    """Draw what waits for a second look, and what waits for its signature."""
    head(here, visit, "Second look")
    st.title("Look a second time", anchor=False)
    st.write("You look at the aircraft yourself and answer first; only then is the first answer shown.")
    use, person = here.inspections, here.person
    batch = use.looks_to_sign(person, visit.id)
    if batch.lines:
        st.header("Looked at, to be signed", anchor=False)
        rows: list[str] = []
        compared: list[Compared] = []
        for one in batch.lines:
            both = use.compared(person, one.id)
            said = " · ".join(part for part in (both.first.text, reading_words(both.first.reading)) if part)
            first = f"{finding_words(both.first.finding, both.first.reading)}{', ' if said else ''}{said}"
            rows.append(line_html(one, f"First answer: {first}. {_follows(both)}"))
            compared.append(both)
        listing(rows)
        for one_both in compared:
            tire_placing.beside(here, one_both)
            hoses.beside(here, one_both)
        sign(
            here, "looks", batch.record_hash, f"Sign {len(batch.lines)} second looks",
            lambda password: use.sign_looks(person, visit.id, password, batch.record_hash),
        )  # fmt: skip
    for held in use.looks_held(person, visit.id):
        note(f"Not to be signed yet. {held}.")
    waiting = use.to_look_at(person, visit.id)
    st.header(f"To look at ({len(waiting)})", anchor=False)
    if not waiting:
        st.write("Nothing waits for you. Your own work waits for somebody else.")
    for item in waiting:
        place = use.place_of(item.id)
        stop = use.stop(person, item.id)
        label = f"{place.leg.position.capitalize()}: {stop.title}"
        if st.button(label, key=f"look-{item.id}", type="tertiary"):
            here.go("visit", visit=visit.id, look=item.id)
    here.link("queue", "Strut photos to be confirmed are under Waiting")
    back(here, visit)


def _follows(both: Compared) -> str:
    on_photos = is_judged(both.mine.reading) and is_judged(both.first.reading)
    return _BY_HAND if on_photos and both.outcome is LookOutcome.ANEW else OUTCOMES[both.outcome]


def one(here: Here, visit: Inspection, item_id: str) -> None:
    """Draw one item for the second person; nothing of the first answer is on the page."""
    use, person = here.inspections, here.person
    place = use.place_of(item_id)
    head(here, visit, "Second look", place.leg.position)
    stop = use.stop(person, item_id)
    note(f"Second look · {stop.group.title} · {stop.wanted.condition.replace('_', ' ')}")
    st.title(stop.title, anchor=False)
    show(guide_html(here, stop))
    if stop.item.key == STRUT_EXTENSION:
        here.link("queue", "The strut's photo is confirmed under Waiting")
        return

    def enter(given: Given, place_: str) -> None:
        if tried(lambda: use.look(person, item_id, given)):
            left = use.to_look_at(person, visit.id)
            if left:
                here.go("visit", visit=visit.id, look=left[0].id)
            here.go("visit", visit=visit.id, step="second")

    if not (hoses.step(here, visit, stop) or tire_placing.step(here, visit, stop)):
        answer_form(here, stop, place.leg, enter)
    here.link("visit", "Back to the second looks", visit=visit.id, step="second")
