"""`keep_typed`: what a person types is still there after a reload, sleep or a dead spot."""

import streamlit as st

from app.screens.components.assets import joined, script

_SCRIPT = ("shared/mounting.js", "keeping/typed.js", "keeping/fields.js", "keeping/main.js")
_widget = st.components.v2.component(
    "gearwitness_keep_typed",
    html=joined(["keeping/widget.html"]),
    css=joined(["shared/basis.css", "keeping/widget.css"]),
    js=script(_SCRIPT),
)


def keep_typed(scope: str) -> None:
    """Keep what is typed into the text and number fields of this page's forms, on this device, for a day.

    It is put back where the page is drawn anew and the field is as it was before the
    person typed, and that is said.  It is forgotten once its form was entered.
    Passwords, ticks and choices are never kept: they are a person's acts at that moment.
    Only fields of forms are kept, and only those with a key.

    Parameters
    ----------
    scope : str
        Names the person, the page and what the page is about, or one item's words would
        come up at another.
    """
    _widget(key="keep_typed", data={"scope": scope})
