"""The tire's screens: its gauge, its photo, its second person."""

import pytest

from tests.app.records_house import House
from tests.app.screens.looking import Open, press, said
from tests.app.tire_house import open_tire, tire_item


@pytest.mark.parametrize("told", [True, False])
def test_a_tires_gauge_is_read_with_its_state_and_temperature(
    open_page: Open, house: House, told: bool
) -> None:
    opened = open_tire(house, more="pressure_temperature_C = 15.0")
    opened.gauge()
    item = tire_item(opened, "tire_pressure").id
    app = open_page("visit", opened.mechanic, visit=opened.visit.id, item=item)
    app.selectbox(key=f"tool-{item}").select_index(0)
    app.selectbox(key=f"unit-{item}").set_value("psi")
    app.text_input(key=f"values-{item}").input("71")
    if told:
        app.number_input(key=f"temperature-{item}").set_value(12.0)
    press(app, "Enter this reading")
    if not told:
        assert "write down the temperature of the cold tire" in said(app)
        return
    said(app)
    mine = opened.use.stop(opened.mechanic, item).mine
    assert mine is not None and mine.reading is not None
    assert (mine.reading["state"], mine.reading["temperature_c"], mine.reading["stated_c"]) == (
        "loaded", 12.0, 15.0,
    )  # fmt: skip
    again = said(open_page("visit", opened.mechanic, visit=opened.visit.id, item=item))
    assert "loaded at 12 °C; told as loaded at 15 °C" in again
