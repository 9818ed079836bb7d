"""A visit by a programme whose leg has a tire: its gauge reading, its line and its creep mark."""

from app.inspection import Basis, Item
from app.inspection.rounds.given import Gauge
from tests.app.records_house import House
from tests.app.rounds_house import PROGRAMME, RoundHouse, _item, open_round

LEG = """
aircraft = "{registration}"
position = "tail"
document = "demo manual 32-10-05 rev 3"
[strut]
extension_mm = 88.9
lower_mm = 82.55
upper_mm = 95.25
measured_from = "band"
measured_to = "collar"
piston_diameter_mm = 62.0
collar_diameter_mm = 98.0
[tire]
outside_diameter_mm = 445.0
flange_diameter_mm = 190.5
section_width_mm = 160.0
line = "{line}"
line_limit_deg = 3.0
creep_limit_mm = 5.0
pressure_lower_kPa = 460.0
pressure_upper_kPa = 520.0
pressure_state = "{state}"
{more}
"""
_PRESSURE = _item(
    "tire_pressure", "tire", "gauge_reading", "leg_data",
    'instrument = "tire gauge"\nquantity = "pressure"\n'
    'needs = ["tire.pressure_lower_kPa or tire.pressure_upper_kPa", "tire.pressure_state"]',
)  # fmt: skip
_LINE = _item(
    "tire_line", "tire", "photo_measurement", "leg_data",
    'measures = ["pressure_line_angle", "loaded_radius", "deflection"]\nneeds = ["tire.line_limit_deg"]\n'
    'seen_from = "photo"',
)  # fmt: skip
_CREEP = _item(
    "tire_creep", "tire", "photo_measurement", "leg_data",
    'measures = ["creep_angle", "creep_arc"]\nneeds = ["tire.creep_limit_mm"]\nseen_from = "photo"',
)  # fmt: skip
_CUTS = _item("tire_cuts", "tire")
TIRE_PROGRAMME = (
    PROGRAMME.replace('[[group]]\nkey = "gear_swing"', '[[group]]\nkey = "tire"\ntitle = "Tire"\n[[group]]\nkey = "gear_swing"')
    + _PRESSURE + _LINE + _CREEP + _CUTS
)  # fmt: skip
PSI = 6.894757293168


def open_tire(
    house: House, *, line: str = "pressure line", state: str = "loaded", more: str = ""
) -> RoundHouse:
    """Open a visit with the leg ``"tail"``, whose items are those of a tire."""
    toml = LEG.format(registration=house.aircraft.registration, line=line, state=state, more=more)
    house.inspections.enter_leg(house.aircraft.id, "tail", toml, Basis.PRIMARY)
    return open_round(house, TIRE_PROGRAMME)


def tail(opened: RoundHouse) -> str:
    """The id of the leg with the tire."""
    (leg,) = (one for one in opened.use.legs(opened.house.aircraft.id) if one.position == "tail")
    return leg.id


def tire_item(opened: RoundHouse, key: str) -> Item:
    """An item of the leg with the tire."""
    return opened.item(key, tail(opened))


def pressed(
    opened: RoundHouse, kpa: float = 490.0, *, state: str = "loaded", c: float | None = 15.0
) -> Gauge:
    """A gauge reading within the leg's limits, or another."""
    tool = (
        next((one for one in opened.use.instruments() if one.quantity == "pressure"), None) or opened.gauge()
    )
    return Gauge((kpa / PSI,), "psi", tool.id, state=state, temperature_c=c)
