"""What a shop keeps: people, instruments, cards, charts, programmes, and one's own password."""

from collections.abc import Callable

import streamlit as st

from app.screens.here import Here
from app.screens.list_steps import legs, password, people, programme, tools
from app.screens.parts.markup import show

STEPS: dict[str, tuple[str, Callable[[Here], None]]] = {
    "people": ("People and authorisations", people.step),
    "tools": ("Instruments, cards, charts", tools.step),
    "legs": ("Legs and their data", legs.step),
    "programme": ("Programmes and what is fitted", programme.step),
    "password": ("Your password", password.step),
}


def page(here: Here) -> None:
    """Draw the list that the address names, or the ways to all of them."""
    step = st.query_params.get("step", "")
    here.head(("Sheet", "Lists"))
    if step in STEPS:
        STEPS[step][1](here)
        here.link("lists", "Back to the lists")
        return
    st.title("Lists", anchor=False)
    for name, (label, _) in STEPS.items():
        if st.button(label, key=f"to-{name}", width="stretch"):
            here.go("lists", step=name)
    show('<p><a class="gw-link" href="/devices" target="_self">Phones that may reach this server</a></p>')
    show('<p><a class="gw-link" href="/identities" target="_self">Accounts linked to people here</a></p>')
