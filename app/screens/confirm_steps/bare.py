"""The bare photo, on which the second person places both ends before he knows any value."""

import streamlit as st

from app.inspection import Bare
from app.screens.components import Place, place_points
from app.screens.here import Here
from app.screens.parts.markup import complaint, facts, show, text
from vision.errors import GearwitnessError

EXPLAINED = (
    "Place the two ends where you see them: the red band's upper edge and the collar's lower rim, "
    "each at the middle of the piston. What the program read is shown once yours is stored; "
    "yours is final then."
)


def step(here: Here, asked: Bare) -> None:
    """Draw the photo to be read, and store the person's points when he says that they are his."""
    st.title("Read the bare photo", anchor=False)
    st.write(EXPLAINED)
    width, height = here.photo_size(asked.photo)
    if not width:
        complaint("the photo cannot be shown: have the strut measured by hand, and the archive checked")
        here.link("hand", "Measure by hand", item=asked.place.item.id)
        return
    points = place_points(
        asked.photo,
        width,
        height,
        key=f"place-{asked.try_id}",
        keep_as=f"{here.person.id}.{asked.try_id}",
    )
    if points[0] is not None and points[1] is not None:
        _store(here, asked, points[0], points[1])
    with st.expander("What the mechanic stated"):
        show(facts([("Photographed by", asked.performer.name)]))
        show("<ul>" + "".join(f"<li>{text(line)}</li>" for line in asked.statements) + "</ul>")
    here.link("hand", "The photo cannot be read: measure by hand", item=asked.place.item.id)


def _store(here: Here, asked: Bare, upper_band: Place, rim: Place) -> None:
    st.write("Both ends are placed. Stored, they are your reading: it is not changed afterwards.")
    if st.button("Store my reading", key=f"store-{asked.try_id}", type="primary", width="stretch"):
        try:
            here.inspections.place(here.person, asked.try_id, upper_band, rim)
        except GearwitnessError as refused:
            complaint(str(refused))
        else:
            st.rerun()
