"""Second step: surroundings clear and condition stated, by ticks that are a person's statements."""

from datetime import datetime

import streamlit as st

from app.inspection import Aircraft, LegEntry, Try
from app.programme import ItemCondition
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

STILL_HOLDS = "All of it still holds: go on to the photo"
"""The statement that what was stated of the aircraft on this visit counts, made by pressing it."""


def step(here: Here, leg_id: str) -> None:
    """Draw the statements for this leg, and begin a try once they are all made."""
    aircraft, leg = leg_of(here.inspections, leg_id)
    here.head(("Aircraft", aircraft.registration), ("Leg", leg.position))
    show(steps(STEPS, 1))
    st.title("Before the photo", anchor=False)
    before_photo(here, aircraft, leg)


def before_photo(here: Here, aircraft: Aircraft, leg: LegEntry) -> None:
    """Draw the statements below a heading of the page that they stand on."""
    _unfinished(here, aircraft, leg)
    on_visit, on_leg = _own_tries(here, aircraft, leg)
    by_visit = stated_on_visit(here, leg)
    cleared = by_visit is not None or any(said.SURROUNDINGS in one.statements for one in on_visit)
    earlier = on_leg[-1].begun_at if on_leg else by_visit
    if not cleared:
        show(before_first_photo())
    _limits(leg)
    with st.form(f"condition-{leg.id}", border=False):
        wanted, recorded = _wanted(cleared, earlier)
        pressed: tuple[str, ...] = ()
        if by_visit is not None:  # stated of the whole aircraft: the button says that it still holds
            pressed, wanted = wanted[:1], wanted[1:]
        if recorded:
            lines = [*recorded, *([said.SURROUNDINGS] if by_visit is not None else [])]
            show("<ul>" + "".join(f"<li>{text(line)}</li>" for line in lines) + "</ul>")
        for line in pressed:
            show(f'<p class="gw-beside">{text(line)}</p>')
        ticked = [st.checkbox(line, key=f"said-{leg.id}-{line}") for line in wanted]
        card = _card(here)
        options = told_beside(leg)
        label = STILL_HOLDS if pressed else "Go on to the photo"
        if st.form_submit_button(label, type="primary", width="stretch"):
            _go_on(here, leg, _missing(wanted, ticked), (*pressed, *wanted, *recorded), options, card)


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


def stated_on_visit(here: Here, leg: LegEntry) -> datetime | None:
    """Return when this person stated the same of the whole aircraft, where that still counts.

    None where another person stated the condition, another one counts now, or the
    programme's statements do not say all that a strut's photo asks for.
    """
    use = here.inspections
    item = open_items(use, leg.aircraft_id).get(leg.id)
    programme = None if item is None else use.programme_of(item.inspection_id)
    if item is None or programme is None or said.FIRST_PHOTO not in programme.opening:
        return None
    now = use.condition(item.inspection_id)
    if now is None or now.by != here.person.id or now.what != ItemCondition.ON_WHEELS:
        return None
    told = {key for key, _, _ in now.statements}
    if not told >= said.CONDITION_KEYS or not use.has_opened(here.person, item.inspection_id):
        return None
    return now.at


def _wanted(cleared: bool, earlier: datetime | None) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Return the lines to be ticked, and those that one of them repeats from earlier on this visit."""
    first = () if cleared else (said.SURROUNDINGS,)
    if earlier is None:
        return (*first, *said.CONDITION, said.CARD_PLACED), ()
    anew = f"{said.UNCHANGED} {when(earlier)}"
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
