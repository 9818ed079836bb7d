"""How far load and temperature alone may have moved a strut, by its air spring; the verdict is untouched."""

import streamlit as st

from app.screens.parts.markup import complaint, note, show, text
from app.trends import AirSpring, at_most

_KELVIN = 273.15


def explained(leg_id: str) -> None:
    """Draw the fields of the strut's gas, the bounds of load and temperature, and what they account for."""
    st.header("Load and temperature", anchor=False)
    with st.expander("What would they account for at most?"):
        note(
            "From the strut's document: absolute pressure and gas volume at full extension, the area that "
            "the gas presses on, the stroke. Then the bounds of what the load on this leg and its "
            "temperature may have been."
        )
        with st.form(f"gas-{leg_id}"):
            left, right = st.columns(2)
            with left:
                pressure = st.number_input("Gas pressure at full extension, kPa absolute", 0.0, value=None)
                volume = st.number_input("Gas volume at full extension, cm³", 0.0, value=None)
                area = st.number_input("Area the gas presses on, cm²", 0.0, value=None)
                stroke = st.number_input("Stroke, mm", 0.0, value=None)
            with right:
                light = st.number_input("Least load on the leg, kN", 0.0, value=None)
                heavy = st.number_input("Most load on the leg, kN", 0.0, value=None)
                cold = st.number_input("Coldest, °C", -60.0, 70.0, value=None)
                warm = st.number_input("Warmest, °C", -60.0, 70.0, value=None)
            serviced = st.number_input("Temperature when it was serviced, °C", -60.0, 70.0, value=20.0)
            asked = st.form_submit_button("Work it out")
        if not asked:
            return
        given = (pressure, volume, area, stroke, light, heavy, cold, warm, serviced)
        if any(one is None for one in given):
            complaint("a value is missing: fill in all fields")
            return
        numbers = [float(one) for one in given if one is not None]
        _answer(*numbers)


def _answer(
    pressure_kpa: float,
    volume_cm3: float,
    area_cm2: float,
    stroke_mm: float,
    light_kn: float,
    heavy_kn: float,
    cold_c: float,
    warm_c: float,
    serviced_c: float,
) -> None:
    try:
        spring = AirSpring(area_cm2 * 1e2, volume_cm3 * 1e3, pressure_kpa, stroke_mm, serviced_c + _KELVIN)
        found = at_most(spring, (light_kn * 1e3, heavy_kn * 1e3), (cold_c + _KELVIN, warm_c + _KELVIN))
    except ValueError as error:
        complaint(str(error))
        return
    show(f'<p class="gw-beside" role="status">{text(found.words)}</p>')
