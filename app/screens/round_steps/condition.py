"""Second step: surroundings clear and condition stated, by ticks that are a person's statements."""

import streamlit as st

from app.inspection import Aircraft, LegEntry, Try
from app.screens.here import Here
from app.screens.parts import statements as said
from app.screens.parts.guide import before_first_photo
from app.screens.parts.header import steps
from app.screens.parts.markup import complaint, note, show, text
from app.screens.parts.numbers import limits_words
from app.screens.parts.visits import leg_of, open_items, tries_of
from app.screens.parts.words import when
from app.screens.round_steps import STEPS
from app.screens.round_steps.told import told_beside
from vision.errors import GearwitnessError
from vision.leg import read_leg


def step(here: Here, leg_id: str) -> None:
    """Draw the statements for this leg, and begin a try once they are all made."""
    aircraft, leg = leg_of(here.inspections, leg_id)
    here.head(("Aircraft", aircraft.registration), ("Leg", leg.position))
    show(steps(STEPS, 1))
    st.title("Before the photo", anchor=False)
    _unfinished(here, aircraft, leg)
    on_visit, on_leg = _own_tries(here, aircraft, leg)
    cleared = any(said.SURROUNDINGS in one.statements for one in on_visit)
    if not cleared:
        show(before_first_photo())
    _limits(leg)
    with st.form(f"condition-{leg_id}", border=False):
        wanted, recorded = _wanted(cleared, on_leg)
        if recorded:
            show("<ul>" + "".join(f"<li>{text(line)}</li>" for line in recorded) + "</ul>")
        ticked = [st.checkbox(line, key=f"said-{leg_id}-{line}") for line in wanted]
        card = _card(here)
        options = told_beside(leg)
        if st.form_submit_button("Go on to the photo", type="primary", width="stretch"):
            _go_on(here, leg, _missing(wanted, ticked), (*wanted, *recorded), options, card)


def _card(here: Here) -> str:
    """Draw the choice of the card copy where cards are entered; its check bars then count."""
    cards = here.inspections.cards()
    if not cards:
        return ""
    labels = {one.number: f"{one.name} {one.number}, due {one.due}" for one in cards}
    chosen = st.selectbox(
        "Card copy", list(labels), format_func=lambda it: labels[it], index=None, key="card-copy"
    )
    return chosen or ""


def _wanted(cleared: bool, on_leg: tuple[Try, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the lines to be ticked, and those that one of them repeats from an earlier photo of this leg."""
    first = () if cleared else (said.SURROUNDINGS,)
    if not on_leg:
        return (*first, *said.CONDITION, said.CARD_PLACED), ()
    anew = f"{said.UNCHANGED} {when(on_leg[-1].begun_at)}"
    return (anew, *first, said.CARD_PLACED), said.CONDITION


def _missing(wanted: tuple[str, ...], ticked: list[bool]) -> tuple[str, ...]:
    """Return what is missing of the lines to be ticked."""
    return tuple(line for line, done in zip(wanted, ticked, strict=True) if not done)


def _own_tries(here: Here, aircraft: Aircraft, leg: LegEntry) -> tuple[tuple[Try, ...], tuple[Try, ...]]:
    """Return this person's tries on the open visit, and those of them at this leg."""
    on_visit: tuple[Try, ...] = ()
    on_leg: tuple[Try, ...] = ()
    for leg_id, item in open_items(here.inspections, aircraft.id).items():
        tries = tries_of(here.inspections.item_story(here.person, item.id), here.person)
        on_visit += tries
        if leg_id == leg.id:
            on_leg = tries
    return on_visit, on_leg


def _unfinished(here: Here, aircraft: Aircraft, leg: LegEntry) -> None:
    """Offer the person's own try that waits for something, so that a lost address loses nothing."""
    _, on_leg = _own_tries(here, aircraft, leg)
    if on_leg and on_leg[-1].sent_at is None and on_leg[-1].photo is not None:
        here.link("round", f"Go on with your photo of {when(on_leg[-1].begun_at)}", draft=on_leg[-1].id)


def _limits(leg: LegEntry) -> None:
    try:
        strut = read_leg(leg.toml, "the leg's data").strut
    except GearwitnessError as unusable:
        complaint(str(unusable))
        return
    if strut is None:
        return
    limits = strut.limits().limits
    if limits is not None:
        note(f"Plate: {strut.plate_text} · limits {limits_words(limits)} · {limits.document}")


def _go_on(
    here: Here,
    leg: LegEntry,
    missing: tuple[str, ...],
    statements: tuple[str, ...],
    options: dict[str, object] | str,
    card: str,
) -> None:
    if missing:
        complaint(
            f"not stated yet: {'; '.join(line.rstrip('.') for line in missing)}. "
            "Tick what holds; where something does not hold, do not photograph."
        )
        return
    if isinstance(options, str):
        complaint(options)
        return
    try:
        begun = here.inspections.begin_try(here.person, leg.id, statements, options, card)
    except GearwitnessError as refused:
        complaint(str(refused))
        return
    here.go("round", draft=begun.id)
