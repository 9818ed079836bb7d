"""The page of the guide: before the first photo, and how a strut is photographed, drawn."""

import streamlit as st

from app.screens.here import Here
from app.screens.parts.guide import before_first_photo, drawn_guide
from app.screens.parts.markup import show


def page(here: Here) -> None:
    """Draw the guide; it needs nothing from the archive."""
    here.head(("Sheet", "Guide"))
    st.title("Guide to the strut photo", anchor=False)
    show(before_first_photo())
    show(drawn_guide(st.context.theme.type))
