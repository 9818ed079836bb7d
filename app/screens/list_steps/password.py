"""One's own password: changed by oneself, and after a reset before anything else."""

import streamlit as st

from app.screens.here import Here
from app.screens.parts.markup import note, show
from app.screens.parts.words import when
from app.screens.visit_steps.shared import tried


def step(here: Here) -> None:
    """Draw the form; once it is changed, every session ends and one signs in anew."""
    st.title("Your password", anchor=False)
    pending = here.house.people.pending_reset(here.person.id)
    if pending is not None:
        who = here.name_of(pending.by)
        show(f'<p class="gw-beside">{who} reset your password {when(pending.at)}.</p>')
        if pending.changed_at is not None:
            st.write("Before you sign anything, another person who works on the aircraft vouches for you.")
            note("He does so under Lists, People and authorisations.")
    with st.form("password", border=False):
        old = st.text_input("Present password", type="password", key="old", autocomplete="current-password")
        new = st.text_input("New password", type="password", key="new", autocomplete="new-password")
        again = st.text_input("New password again", type="password", key="again", autocomplete="new-password")
        pressed = st.form_submit_button("Change it", type="primary", width="stretch")

    def change() -> None:
        if new != again:
            msg = "the new password was typed in two ways: type it again"
            raise ValueError(msg)
        here.house.people.change_password(here.person, old, new)

    if pressed and tried(change):
        st.rerun()
