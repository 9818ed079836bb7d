"""Which of the shop's calibrated cameras the photo is taken with; none is a choice, too."""

from typing import Any

import streamlit as st

from app.inspection.rounds.tire_camera import cameras_in
from app.screens.here import Here
from app.screens.parts.markup import note

_NONE = "No calibration"


def camera_chosen(here: Here, key: str) -> dict[str, Any] | None:
    """Draw the choice, where the shop has calibrations, and return the chosen one."""
    found, faults = cameras_in(here.house.home)
    for fault in faults:
        note(f"A calibration of the shop cannot be used: {fault}")
    if not found:
        return None
    chosen = st.selectbox(
        "Calibration of the phone that takes the photo", [_NONE, *found], key=f"camera-{key}"
    )
    return found.get(chosen or _NONE)
