"""A signature: the password typed for that act, bound to the record that was on the screen."""

import streamlit as st

from app.inspection import Comparison
from app.screens.here import Here
from app.screens.parts.markup import complaint, facts, note, show
from app.screens.parts.words import short, when
from vision.errors import GearwitnessError


def sign(here: Here, all_: Comparison) -> None:
    """Draw what is signed and the field that signs it."""
    if all_.record_hash is None:
        return
    st.header("Sign", anchor=False)
    st.write(
        "You sign that you read the bare photo yourself, that these are the readings, and what follows "
        "from them. It does not release the aircraft."
    )
    seen, shown = f"seen-{all_.try_.id}", all_.record_hash
    if st.session_state.get(seen, shown) != shown:
        show('<p class="gw-beside" role="status">The readings have changed since you looked: look again.</p>')
    st.session_state[seen] = shown
    # The form carries the hash of the record that it stands under: pressed below a record that has
    # changed meanwhile, it is another form than the one drawn now, and signs nothing.
    with st.form(f"sign-{shown}", border=False):
        note(f"Record {short(shown)}…")
        password = st.text_input(
            f"Password of {here.person.name}",
            type="password",
            key=f"sign-password-{shown}",
            autocomplete="off",
        )
        if st.form_submit_button("Sign", type="primary", width="stretch", key=f"sign-press-{shown}"):
            try:
                here.inspections.confirm(here.person, all_.try_.id, password, shown)
            except GearwitnessError as refused:
                complaint(str(refused))
            else:
                st.rerun()


def signed(here: Here, all_: Comparison) -> None:
    """Draw who signed, when, and what followed."""
    done = all_.confirmation
    assert done is not None
    show(
        facts(
            [
                ("Signed by", here.name_of(done.confirmer_id)),
                ("At", when(done.signed_at)),
                ("Record", f"{short(done.signed_hash)}…"),
                ("In the chain", f"{short(done.event_hash)}…"),
            ]
        )
    )
    item = {"item": all_.place.item.id}
    here.links(("queue", "To what waits", {}), ("archive", "Everything on this item", item))
