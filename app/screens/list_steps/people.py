"""People: who they are, what they are authorised for and until when; resets, and who vouches."""

from datetime import UTC, datetime

import streamlit as st

from app.inspection import Person, Role
from app.inspection.rounds.crew import AUTHORISED
from app.inspection.rounds.model import ALL_CLASSES
from app.screens.here import Here
from app.screens.parts.markup import note, show, text
from app.screens.visit_steps.shared import tried

ROLES: dict[Role, str] = {
    Role.MECHANIC: "mechanic",
    Role.INSPECTOR: "inspector",
    Role.AUTHORISED_SIGNATORY: "authorised signatory",
    Role.REQUIRED_INSPECTION: "required inspections",
    Role.NDI_TECHNICIAN: "NDI technician",
    Role.TRAINEE: "trainee under supervision",
    Role.ADMINISTRATOR: "administrator",
}


def step(here: Here) -> None:
    """Draw everybody, and the forms for who keeps them."""
    st.title("People", anchor=False)
    use, everyone = here.inspections, here.house.people.everyone()
    certificates, given = use.certificates(), use.authorisations()
    for one in everyone:
        certificate = certificates.get(one.id)
        papers = (
            "no certificate entered" if certificate is None else f"{certificate.kind} {certificate.number}"
        )
        until = [
            f"{ROLES[Role(it.role)]}, {_class(it.item_class)}, until {it.ends}"
            for it in given
            if it.person_id == one.id and it.withdrawn_at is None
        ]
        roles = ", ".join(ROLES[role] for role in sorted(one.roles))
        listed = "".join(f"<small>{text(it)}</small>" for it in [papers, *until])
        show(f'<div class="gw-row"><b>{text(one.name)}</b><span>{text(roles)}</span>{listed}</div>')
        _vouch(here, one)
    if here.person.roles & {Role.ADMINISTRATOR, Role.AUTHORISED_SIGNATORY}:
        _authorise(here, [one for one in everyone if one.id != here.person.id])
    if here.person.is_administrator:
        _enter(here)
        _certificate(here, everyone)
        _reset(here, [one for one in everyone if one.id != here.person.id])


def _class(item_class: str) -> str:
    return "all items" if item_class == ALL_CLASSES else item_class


def _vouch(here: Here, one: Person) -> None:
    pending = here.house.people.pending_reset(one.id)
    if pending is None or pending.changed_at is None or here.person.id in (one.id, pending.by):
        return
    if not here.person.is_worker:
        return
    with st.form(f"vouch-{one.id}", border=False):
        note(f"{here.name_of(pending.by)} reset this password. Is {one.name} the one who uses it?")
        password = st.text_input(
            f"Password of {here.person.name}: it vouches for {one.name}",
            type="password", key=f"vouch-password-{one.id}", autocomplete="off",
        )  # fmt: skip
        pressed = st.form_submit_button(f"Vouch for {one.name}", width="stretch")
    if pressed and tried(lambda: here.house.people.vouch(here.person, one.id, password)):
        st.rerun()


def _enter(here: Here) -> None:
    with st.expander("Enter a person"), st.form("person", border=False, clear_on_submit=True):
        name = st.text_input("Name", key="person-name")
        roles = st.multiselect("Roles", list(ROLES), format_func=lambda it: ROLES[it], key="person-roles")
        first = st.text_input(
            "First password", type="password", key="person-password", autocomplete="new-password"
        )
        if st.form_submit_button("Enter", width="stretch") and tried(
            lambda: here.house.people.enter(name, frozenset(roles), first)
        ):
            st.rerun()


def _certificate(here: Here, everyone: tuple[Person, ...]) -> None:
    with st.expander("Enter a certificate"), st.form("certificate", border=False, clear_on_submit=True):
        whose = st.selectbox("Whose", everyone, format_func=lambda it: it.name, index=None, key="cert-whose")
        kind = st.text_input("Kind", key="cert-kind")
        number = st.text_input("Number", key="cert-number")
        if (
            st.form_submit_button("Enter", width="stretch")
            and whose is not None
            and tried(lambda: here.inspections.enter_certificate(here.person, whose.id, kind, number))
        ):
            st.rerun()


def _authorise(here: Here, others: list[Person]) -> None:
    with st.expander("Authorise"), st.form("authorise", border=False, clear_on_submit=True):
        whom = st.selectbox("Whom", others, format_func=lambda it: it.name, index=None, key="auth-whom")
        role = st.selectbox("As", AUTHORISED, format_func=lambda it: ROLES[it], index=None, key="auth-role")
        group = st.text_input("For which group of items, * for all", value=ALL_CLASSES, key="auth-class")
        today = datetime.now(UTC).date()
        begins = st.date_input("From", value=today, key="auth-begins")
        ends = st.date_input("Until", value=None, key="auth-ends")
        pressed = st.form_submit_button("Authorise", width="stretch")
    if not pressed:
        return

    def authorise() -> None:
        if whom is None or role is None or ends is None:
            msg = "whom, as what and until when are all needed: choose them"
            raise ValueError(msg)
        here.inspections.authorise(here.person, whom.id, role, group, begins, ends)

    if tried(authorise):
        st.rerun()


def _reset(here: Here, others: list[Person]) -> None:
    with st.expander("Reset a password"), st.form("reset", border=False):
        note(
            "The person signs in with the temporary password, changes it, and signs nothing until "
            "another person has vouched. Each step stays on the record."
        )
        whose = st.selectbox("Whose", others, format_func=lambda it: it.name, index=None, key="reset-whose")
        pressed = st.form_submit_button("Reset it", width="stretch")
    if pressed and whose is not None:
        told: list[str] = []
        if tried(lambda: told.append(here.house.people.reset_password(here.person, whose.id))):
            show(f'<p class="gw-advice"><b>Temporary password of {text(whose.name)}</b>{text(told[0])}</p>')
