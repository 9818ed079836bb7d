"""A leg's data: as it stands, changed by two people, and what it was before."""

import streamlit as st

from app.inspection import Basis, LegEntry
from app.inspection.rounds.model import LegChange
from app.screens.here import Here
from app.screens.parts.markup import facts, note, show, text
from app.screens.parts.words import BASES, when
from app.screens.visit_steps.shared import sign, tried


def step(here: Here) -> None:
    """Draw every leg with its changes."""
    st.title("Legs and their data", anchor=False)
    use = here.inspections
    for aircraft in use.aircraft():
        st.header(aircraft.registration, anchor=False)
        for leg in use.legs(aircraft.id):
            changes = use.leg_changes(leg.id)
            waits = any(one.approved_at is None for one in changes)
            with st.expander(
                f"{leg.position.capitalize()}{': a change waits' if waits else ''}", expanded=waits
            ):
                note(BASES[leg.basis])
                for one in changes:
                    _change(here, one)
                if not waits:
                    _propose(here, leg)


def _change(here: Here, one: LegChange) -> None:
    approved = "waits for another person"
    if one.approved_by is not None and one.approved_at is not None:
        approved = f"{here.name_of(one.approved_by)}, {when(one.approved_at)}"
    pairs = [
        ("Change", one.reason),
        ("Proposed by", f"{here.name_of(one.proposed_by)}, {when(one.proposed_at)}"),
        ("Approved by", approved),
    ]
    if one.study:
        pairs.append(("Study", one.study))
    show(facts(pairs))
    if one.approved_at is not None:
        return
    _told("No longer", _lines(one.toml_before, one.toml_after))
    _told("From now on", _lines(one.toml_after, one.toml_before))
    if one.basis_before is not one.basis_after:
        show(f"<p>From now on: {text(BASES[one.basis_after])}.</p>")
    if one.proposed_by != here.person.id:
        sign(
            here, f"approve-{one.id}", one.id, "Approve this change",
            lambda password: here.inspections.approve_leg_change(here.person, one.id, password),
        )  # fmt: skip


def _told(what: str, lines: list[str]) -> None:
    if lines:
        items = "".join(f"<li>{text(line)}</li>" for line in lines)
        show(f"<p>{what}:</p><ul>{items}</ul>")


def _lines(these: str, those: str) -> list[str]:
    other = set(those.splitlines())
    return [line for line in these.splitlines() if line.strip() and line not in other]


def _propose(here: Here, leg: LegEntry) -> None:
    with st.form(f"leg-{leg.id}", border=False):
        toml = st.text_area("Its data (LEG.toml)", value=leg.toml, height=260, key=f"toml-{leg.id}")
        basis = st.selectbox(
            "Photo readings", list(Basis), index=list(Basis).index(leg.basis),
            format_func=lambda it: BASES[it], key=f"basis-{leg.id}",
        )  # fmt: skip
        study = st.text_input("Paired study, where photo readings are to stand alone", key=f"study-{leg.id}")
        reason = st.text_input("Reason of the change", key=f"reason-{leg.id}")
        pressed = st.form_submit_button("Propose this change", width="stretch")
    if pressed and tried(
        lambda: here.inspections.propose_leg_change(
            here.person, leg.id, toml, basis or leg.basis, reason, study
        )
    ):
        st.rerun()
