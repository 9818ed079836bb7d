"""Photos that show something and are not measured: begun with their place, kept as they arrive."""

import streamlit as st

from app.screens.components import send_photo
from app.screens.here import Here
from app.screens.parts.markup import show, text
from app.screens.parts.pictures import original_html
from app.screens.visit_steps.shared import tried


def photos(here: Here, item_id: str, place: str) -> None:
    """Draw the photos of an item, and the way to another."""
    use = here.inspections
    for one in use.evidence_of(item_id):
        if one.photo is not None:
            with st.container(key=f"gw-evidence-{one.id}"):
                show(original_html(one.photo, here.photo_size(one.photo), one.place))
                show(f'<p class="gw-note">{text(one.place)}, {text(here.name_of(one.person_id))}</p>')
        elif one.person_id == here.person.id:
            send_photo(one.id, key=f"evidence-{one.id}", stages=())
    with st.expander("Add a photo"), st.form(f"evidence-{item_id}", border=False):
        where = st.text_input("Place that it shows", value=place, key=f"shows-{item_id}")
        if st.form_submit_button("Take it", width="stretch") and tried(
            lambda: use.begin_evidence(here.person, item_id, where)
        ):
            st.rerun()
