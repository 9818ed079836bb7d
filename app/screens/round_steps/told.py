"""What may be told beside the photo: the card copy's check bars, its stand-off, the strut's pressure."""

import streamlit as st

from app.inspection import LegEntry
from app.screens.parts.lengths import HOW, length_input, read_length
from app.screens.parts.markup import note
from vision.errors import GearwitnessError
from vision.leg import read_leg
from vision.units import BAR_KPA, PSI_KPA

_PRESSURE_UNITS = {"psi": PSI_KPA, "bar": BAR_KPA, "kPa": 1.0}


def told_beside(leg: LegEntry) -> dict[str, object] | str:
    """Draw the fields and return the options of a try, or the sentence about what cannot be read."""
    options: dict[str, object] = {}
    try:
        if _states_a_chart(leg):
            options |= _pressure()
        with st.expander("Card copy and stand-off, where measured"):
            note(f"Each makes U smaller; none has to be given. {HOW}")
            along = length_input("Check bar along the card", key="bar", placeholder="200.2 mm", bound=True)
            across = length_input("Check bar across", key="across", placeholder="30.0 mm", bound=True)
            behind = length_input(
                "Printed face behind the piston's front (in front: with a minus)",
                key="behind",
                placeholder="12 mm",
                bound=True,
            )
            doubt = length_input("Standard uncertainty of that", key="doubt", placeholder="1 mm", bound=True)
        if along.strip():
            bars = [read_length("the check bar along", along)]
            options["check_bar_mm"] = bars + (
                [read_length("the check bar across", across)] if across.strip() else []
            )
        elif across.strip():
            return "the check bar across is only used with the one along: give both"
        if behind.strip():
            options["stand_off_mm"] = read_length("the stand-off", behind, above_zero=False)
            if doubt.strip():
                options["stand_off_u_mm"] = read_length("its uncertainty", doubt)
    except ValueError as unreadable:
        return str(unreadable)
    return options


def _states_a_chart(leg: LegEntry) -> bool:
    try:
        strut = read_leg(leg.toml, "the leg's data").strut
    except GearwitnessError:
        return False
    return strut is not None and strut.extension_table is not None


def _pressure() -> dict[str, object]:
    """Draw the fields of the strut's pressure: the plate of this leg states a chart, not one value."""
    value, unit = st.columns([2, 1])
    with value:
        told = st.number_input("Pressure in the strut, as read", value=None, min_value=0.0, key="pressure")
    with unit:
        chosen = st.selectbox("Unit", list(_PRESSURE_UNITS), index=None, key="pressure-unit")
    if told is None:
        return {}
    if chosen is None:
        msg = "the pressure has no unit: choose the one that the gauge shows"
        raise ValueError(msg)
    return {"pressure_kpa": told * _PRESSURE_UNITS[chosen]}
