"""The visit at a glance: in which condition the aircraft is, each leg's round, what waits for this person."""

import streamlit as st

from app.inspection import DiscrepancyState, Inspection, LegEntry, Role
from app.inspection.rounds.conditions import Conditions
from app.screens.drawings.plan import plan
from app.screens.here import Here
from app.screens.palette import palette_of
from app.screens.parts.markup import drawing, facts, note, show, text
from app.screens.parts.words import when
from app.screens.visit_steps import amending, correcting
from app.screens.visit_steps.shared import head, record_file

_OPEN = (DiscrepancyState.OPEN, DiscrepancyState.ACTED)


def step(here: Here, visit: Inspection) -> None:
    """Draw the visit."""
    aircraft = head(here, visit, "Visit")
    st.title(f"Visit to {aircraft.registration}", anchor=False)
    use = here.inspections
    programme = use.programme_of(visit.id)
    if programme is None:
        st.write("This visit holds strut extensions only: it follows no programme.")
        here.link("visit", "Discrepancies", visit=visit.id, step="cases")
        here.link("round", "To the legs")
        return
    note(f"Opened {when(visit.opened_at)} · {programme.name}, revision {programme.revision or 'not told'}")
    if visit.closed_at is not None:
        show(
            f'<p class="gw-sent">Signed off {text(when(visit.closed_at))}: nothing in it is written over. '
            "A new entry can stand beside a wrong one.</p>"
        )
        record_file(here, visit)
        correcting.listed(here, visit)
        amending.listed(here, visit)
        here.link("archive", "To the archive")
        return
    carried = [
        one
        for one in use.cases(visit.id)
        if one.carried and one.discrepancy.state in (*_OPEN, DiscrepancyState.DEFERRED)
    ]
    if carried:
        words = "".join(
            f"<li>{text(one.place.leg.position)}: {text(one.discrepancy.text)}</li>" for one in carried
        )
        show(f'<div class="gw-complaint"><b>Carried from an earlier visit</b><ul>{words}</ul></div>')
    _condition(here, visit, use)
    if not use.has_opened(here.person, visit.id):
        return
    counts = use.items_open(visit.id)
    for one in use.legs(aircraft.id):
        _leg(here, visit, one, *counts.get(one.id, (0, 0)))
    _waiting(here, visit)


def _condition(here: Here, visit: Inspection, use: Conditions) -> None:
    now = use.condition(visit.id)
    said = "not stated yet" if now is None else now.what.replace("_", " ")
    more = [] if now is None else [("Stated by", f"{here.name_of(now.by)}, {when(now.at)}")]
    show(facts([("The aircraft is", said), *more]))
    first = not use.has_opened(here.person, visit.id)
    label = (
        "Read the opening card"
        if first
        else "State its condition"
        if now is None
        else "State another condition"
    )
    kind = "primary" if first or now is None else "secondary"
    if st.button(label, key="condition", type=kind, width="stretch"):  # type: ignore[arg-type]
        here.go("visit", visit=visit.id, step="condition")


def _leg(here: Here, visit: Inspection, leg: LegEntry, closed: int, total: int) -> None:
    picture = drawing(plan(palette_of(st.context.theme.type), leg.position), "")
    share = 100 * closed // max(total, 1)
    with st.container(key=f"gw-leg-{leg.id}"):
        words, action = st.columns([3, 2], vertical_alignment="center")
        with words:
            show(
                f'<div class="gw-leg">{picture}<div><b>{text(leg.position.capitalize())}</b>'
                f'<span class="gw-progress" role="img" aria-label="{closed} of {total} closed">'
                f'<i style="width: {share}%"></i></span>'
                f"<small>{closed} of {total} items closed</small></div></div>"
            )
        with action:
            if st.button("Go round", key=f"walk-{leg.id}", type="primary", width="stretch"):
                here.go("visit", visit=visit.id, **_first_item(here, visit, leg))


def _first_item(here: Here, visit: Inspection, leg: LegEntry) -> dict[str, str]:
    """Return the first item of a leg that nobody has begun; else the leg's round, to see where it stands."""
    walk = here.inspections.walk(here.person, visit.id, leg.id)
    now = here.inspections.condition(visit.id)
    if walk.done == 0 and now is not None:
        for one in walk.stops:
            if one.wanted.condition == now.what:
                return {"item": one.item.id}
    return {"leg": leg.id}


def _waiting(here: Here, visit: Inspection) -> None:
    """Draw the ways on, with how much waits behind each for this person."""
    use, person = here.inspections, here.person
    mine = len(use.to_sign(person, visit.id).lines) + len(use.to_supervise(person, visit.id).lines)
    looks = len(use.to_look_at(person, visit.id)) + len(use.looks_to_sign(person, visit.id).lines)
    cases = sum(one.discrepancy.state in _OPEN for one in use.cases(visit.id))
    opened, out = use.opened_and_out(visit.id)
    left = sum(one.closed_at is None for one in opened) + sum(one.back < one.quantity for one in out)
    st.header("In this visit", anchor=False)
    ways = [("sign", f"Sign your answers ({mine})")]
    if person.roles & {Role.INSPECTOR, Role.REQUIRED_INSPECTION}:
        ways.append(("second", f"Look a second time ({looks})"))
    ways += [
        ("cases", f"Discrepancies ({cases} open)"),
        ("open", f"Opened, and counted out ({left})"),
        ("handover", "Hand over the shift"),
        ("off", "What is missing, and sign-off"),
    ]
    for name, label in ways:
        if st.button(label, key=f"to-{name}", width="stretch"):
            here.go("visit", visit=visit.id, step=name)
