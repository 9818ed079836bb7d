"""The fields of a tire's gauge reading: how it was read, so that it can be held against its document."""

import streamlit as st

from app.inspection.rounds.tire_gauge import LOADED, UNLOADED, is_of_tire
from app.inspection.rounds.walking import Stop
from app.programme import ItemCondition
from app.screens.here import Here
from app.screens.parts.words import when

_CARE = "What the manual calls a leak is in the manual; a tire that was just mounted stretches for 12 h."
STATES = {LOADED: "Loaded, on the ground", UNLOADED: "Off the ground"}


def how_read(stop: Stop) -> tuple[str, float | None]:
    """Draw whether the wheel was loaded and how warm the tire was; return both."""
    key = stop.item.id
    on_wheels = stop.wanted.condition is ItemCondition.ON_WHEELS
    wheel, warm = st.columns(2)
    with wheel:
        state = st.selectbox(
            "Wheel",
            list(STATES),
            format_func=lambda one: STATES[one],
            index=0 if on_wheels else None,
            key=f"state-{key}",
        )
    with warm:
        temperature = st.number_input(
            "Temperature of the cold tire, °C", value=None, key=f"temperature-{key}"
        )
    return state or "", temperature


def loss_words(here: Here, stop: Stop) -> str:
    """Return what the tire has lost since the last visit, in words; empty where that cannot be told."""
    if not is_of_tire(stop.wanted):
        return ""
    lost = here.inspections.pressure_loss(here.person, stop.item.id)
    if lost is None:
        return ""
    share = f"{100 * lost.share:.1f} % ± {100 * lost.expanded_u:.1f} %"
    return f"Since {when(lost.since)} it lost {share} in 24 h. {_CARE}"
