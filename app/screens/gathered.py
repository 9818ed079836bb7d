"""Photos taken where no network reached: added from the gallery, then given to their legs one by one.

``/gathered?aircraft=…`` adds; below stand the photos that wait.  What was picked and not
yet sent lies in the browser's journal, what was sent in the archive; reload at will.
"""

import streamlit as st

from app.inspection import Aircraft, LegEntry
from app.inspection.gathered import Gathered
from app.inspection.gathering import Seen
from app.screens.components import send_photos
from app.screens.here import Here
from app.screens.parts import statements as said
from app.screens.parts.markup import complaint, note, show, text
from app.screens.parts.words import when
from app.screens.round_steps.told import told_beside
from vision.errors import GearwitnessError

_OF_ONE_PHOTO = ("bar", "across", "behind", "doubt", "pressure", "pressure-unit")
"""The keys of what is told beside a photo."""


def page(here: Here) -> None:
    """Draw the choice of the aircraft, the way in, and what waits for its leg."""
    here.head(("Sheet", "From the gallery"))
    st.title("Photos taken without a network", anchor=False)
    if not here.person.is_mechanic:
        st.write("Photos are added by the mechanic who took them.")
        return
    aircraft = _aircraft(here)
    if aircraft is None:
        return
    st.write("Pick all of them at once. Each is sent once, also after a reload or a dead spot.")
    added = [one for one in here.inspections.all_gathered(here.person) if one.aircraft_id == aircraft.id]
    send_photos(aircraft.id, [one.photo for one in added])
    waiting = [one for one in added if one.try_id is None and one.set_aside is None]
    st.header(f"Waiting for their leg: {len(waiting)}", anchor=False)
    if not waiting:
        st.write("None.")
    for one in waiting[:1]:
        _one(here, aircraft, one)
    # One at a time: each photo's statements are its own.
    for one in waiting[1:]:
        show(_row(one))


def _aircraft(here: Here) -> Aircraft | None:
    """Return the aircraft that the address names, or let it be chosen."""
    there = {one.id: one for one in here.inspections.aircraft()}
    if not there:
        st.write("There is no aircraft in this archive yet.")
        return None
    named = st.query_params.get("aircraft", "")
    if named not in there and len(there) == 1:
        named = next(iter(there))
    chosen = st.selectbox(
        "Aircraft",
        list(there),
        index=list(there).index(named) if named in there else None,
        format_func=lambda it: there[it].registration,
        placeholder="Which aircraft do they show?",
    )
    if chosen is None:
        return None
    # In the address, so that a reload finds the photos that are still on this phone.
    st.query_params["aircraft"] = chosen
    return there[chosen]


def _one(here: Here, aircraft: Aircraft, one: Gathered) -> None:
    """Draw one photo that waits: what it tells, and the form that gives it to a leg."""
    with st.container(border=True, key=f"gathered-{one.id}"):
        show(_row(one))
        seen = _seen(here, one.id)
        legs = here.inspections.legs(aircraft.id)
        doubt = here.inspections.doubt_of_time(one, seen.taken_at)
        note(f"Taken {when(seen.taken_at)}." if seen.taken_at is not None and not doubt else doubt)
        leg = _leg(legs, seen, one.id)
        if leg is not None:
            _form(here, one, leg, doubt)
        with st.expander("Give it to no leg"), st.form(f"aside-{one.id}", border=False):
            reason = st.text_input("Why", key=f"aside-why-{one.id}", max_chars=300)
            if st.form_submit_button("Set it aside"):
                _tried(here, lambda: here.inspections.set_gathered_aside(here.person, one.id, reason))


def _row(one: Gathered) -> str:
    return (
        f'<div class="gw-row gw-found"><div class="gw-thumb"><img src="/photos/{one.photo}/thumb" '
        f'alt="The photo {text(one.photo_name)}" loading="lazy"></div>'
        f"<div><b>{text(one.photo_name or 'Photo')}</b><small>added {text(when(one.at))}</small></div></div>"
    )


def _leg(legs: tuple[LegEntry, ...], seen: Seen, gathered_id: str) -> LegEntry | None:
    """Return the leg whose tag is in the picture, or let the person say which leg it is."""
    by_tag = [leg for leg in legs if leg.id in seen.leg_ids]
    if len(by_tag) == 1:
        st.write(f"The tag in the picture says: **{by_tag[0].position}**.")
        return by_tag[0]
    there = {leg.id: leg for leg in by_tag or legs}
    chosen = st.radio(
        "No tag in the picture: which leg is it?" if not by_tag else "Several tags: which leg is it?",
        list(there),
        index=None,
        format_func=lambda it: there[it].position,
        key=f"leg-{gathered_id}",
    )
    return None if chosen is None else there[chosen]


def _form(here: Here, one: Gathered, leg: LegEntry, doubt: str) -> None:
    """Draw the statements that held when the photo was taken, and give it to the leg."""
    with st.form(f"give-{one.id}", border=False):
        st.write("When it was taken, and since:")
        wanted = (*said.CONDITION, said.CARD_PLACED)
        ticked = [st.checkbox(line, key=f"said-{one.id}-{line}") for line in wanted]
        why = ""
        if doubt:
            why = st.text_input(
                "Why it shows this leg under this condition", key=f"why-{one.id}", max_chars=150
            )
        card = _card(here, one.id)
        options = told_beside(leg)
        if not st.form_submit_button(f"Give it to the {leg.position}", type="primary", width="stretch"):
            return
        missing = [line.rstrip(".") for line, done in zip(wanted, ticked, strict=True) if not done]
        if missing:
            complaint(f"not stated yet: {'; '.join(missing)}. Tick what held; else set the photo aside.")
        elif isinstance(options, str):
            complaint(options)
        else:
            _give(here, one, leg, wanted, options, card, why)


def _card(here: Here, gathered_id: str) -> str:
    """Draw the choice of the card copy where cards are entered."""
    labels = {one.number: f"{one.name} {one.number}, due {one.due}" for one in here.inspections.cards()}
    if not labels:
        return ""
    chosen = st.selectbox(
        "Card copy",
        list(labels),
        format_func=lambda it: labels[it],
        index=None,
        key=f"card-{gathered_id}",
    )
    return chosen or ""


def _give(
    here: Here,
    one: Gathered,
    leg: LegEntry,
    statements: tuple[str, ...],
    options: dict[str, object],
    card: str,
    why: str,
) -> None:
    def act() -> None:
        given = here.inspections.give_to_leg(here.person, one.id, leg.id, statements, options, card, why)
        here.house.jobs.submit(given.id)
        for name in _OF_ONE_PHOTO:  # the next photo's card may hang otherwise
            st.session_state.pop(name, None)

    _tried(here, act)


def _tried(here: Here, act: object) -> None:
    assert callable(act)
    try:
        act()
    except GearwitnessError as refused:
        complaint(str(refused))
    else:
        st.rerun()


def _seen(here: Here, gathered_id: str) -> Seen:
    """Read the picture once in a session: it does not change."""
    kept = st.session_state.setdefault("gathered-seen", {})
    if gathered_id not in kept:
        try:
            kept[gathered_id] = here.inspections.look_at_gathered(here.person, gathered_id)
        except GearwitnessError as refused:
            complaint(str(refused))
            return Seen(None, ())
    found: Seen = kept[gathered_id]
    return found
