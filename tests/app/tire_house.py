"""A visit by a programme whose leg has a tire: its gauge reading, its line and its creep mark."""

from dataclasses import replace
from typing import Any

from app.inspection import Basis, Item, Measured, Person, Try
from app.inspection.rounds.given import ByEye, Gauge
from app.inspection.rounds.model import Finding
from app.inspection.rounds.tire_cold import Cold
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import PROGRAMME, RoundHouse, _item, open_round
from vision import notes
from vision.results import BudgetLine, Limits, Reading, Refusal, Result, to_json
from vision.verdict import judge

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
    'each = "wheel"\ninstrument = "tire gauge"\nquantity = "pressure"\n'
    'needs = ["tire.pressure_lower_kPa or tire.pressure_upper_kPa", "tire.pressure_state"]',
)  # fmt: skip
_LINE = _item(
    "tire_line", "tire", "photo_measurement", "leg_data",
    'each = "wheel"\nmeasures = ["pressure_line_angle", "loaded_radius", "deflection"]\nneeds = ["tire.line_limit_deg"]\n'
    'seen_from = "photo"',
)  # fmt: skip
_CREEP = _item(
    "tire_creep", "tire", "photo_measurement", "leg_data",
    'each = "wheel"\nmeasures = ["creep_angle", "creep_arc"]\nneeds = ["tire.creep_limit_mm"]\nseen_from = "photo"',
)  # fmt: skip
_CUTS = _item("tire_cuts", "tire", more='each = "wheel"')
WHEELS = """
[[feature]]
key = "wheels"
question = "One wheel, or twin wheels?"
answers = ["one", "twin"]
"""
TIRE_PROGRAMME = (
    PROGRAMME.replace("[[condition]]", WHEELS + "[[condition]]", 1).replace('[[group]]\nkey = "gear_swing"', '[[group]]\nkey = "tire"\ntitle = "Tire"\n[[group]]\nkey = "gear_swing"')
    + _PRESSURE + _LINE + _CREEP + _CUTS
)  # fmt: skip
PSI = 6.894757293168
COLD = Cold(hours=5.0, least_hours=3.0, document="manual 12-10 rev 2")
LIMITS = Limits(-3.0, 3.0, "demo manual")
PAPERS = {
    "removed": [{"part": "tire", "serial": "1", "position": "tail", "reason": "cut", "tag": "7"}],
    "fitted": [{"part": "tire", "serial": "2", "release": "form 3"}],
}


def open_tire(
    house: House, *, line: str = "pressure line", state: str = "loaded", more: str = "", wheels: str = "one",
    without: str = "no key",
) -> RoundHouse:  # fmt: skip
    """Open a visit with the leg ``"tail"``, whose items are those of a tire; `wheels` answers the programme.

    `without` names a key that the leg's data lack.
    """
    toml = LEG.format(registration=house.aircraft.registration, line=line, state=state, more=more)
    toml = "\n".join(line for line in toml.splitlines() if not line.startswith(without))
    use = house.inspections
    leg = use.enter_leg(house.aircraft.id, "tail", toml, Basis.PRIMARY)
    if wheels:
        entry = use.enter_programme(None, TIRE_PROGRAMME, "tire.toml")
        use.follow(None, house.aircraft.id, entry.id)
        use.answer_features(None, leg.id, {"wheels": wheels})
    return open_round(house, TIRE_PROGRAMME)


def open_pressed_tire(house: House) -> RoundHouse:
    """Open a visit with a tire whose gauge reading is good and signed."""
    found = open_tire(house)
    found.use.answer(found.mechanic, tire_item(found, "tire_pressure").id, pressed(found))
    found.sign_work(found.mechanic)
    return found


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


def line_at(deg: float, u: float = 0.6) -> Measured:
    """What the measuring gives: the line's angle, with the tire's other results beside it."""
    read: list[Result] = [
        Reading("pressure_line_angle", deg, "deg", u, (BudgetLine("level", u / 1.96),), {"px_per_mm": 2.0}, (),
                LIMITS, judge(deg, u, LIMITS)),
        Reading("loaded_radius", 180.2, "mm", 1.5, (BudgetLine("pose", 0.7),), {}, ()),
        Refusal("creep_arc", notes.NO_CARD),
    ]  # fmt: skip
    told = to_json(read[0]) | {"results": [to_json(one) for one in read], "level_from": "ground contact"}
    return Measured(told, f"annotated {deg}".encode())


def creep_at(mm: float, u: float = 0.6, *, own: str = "creep_arc", deg: float = 0.4) -> Measured:
    """What the measuring gives of a photo that shows line and mark: the question of its item first."""
    limits = Limits(-5.0, 5.0, "demo manual")
    read = [
        Reading("pressure_line_angle", deg, "deg", u, (BudgetLine("level", u / 1.96),), {"px_per_mm": 2.0}, (),
                LIMITS, judge(deg, u, LIMITS)),
        Reading("creep_arc", mm, "mm", u, (BudgetLine("mark", u / 1.96),), {"px_per_mm": 2.0}, (),
                limits, judge(mm, u, limits)),
    ]  # fmt: skip
    (first,) = (one for one in read if one.name == own)
    told = to_json(first) | {"results": [to_json(one) for one in read], "level_from": "ground contact"}
    return Measured(told, f"annotated {deg} {mm} {own}".encode())


def begun(opened: RoundHouse, key: str = "tire_line", person: Person | None = None, **more: Any) -> Try:
    told = {"cold": COLD, "undamaged": True, "own": Finding.GOOD} | more
    return opened.use.begin_tire_try(person or opened.mechanic, tire_item(opened, key).id, **told)


def read(opened: RoundHouse, measured: Measured, **more: Any) -> Try:
    """A photo of the line that is measured."""
    this = begun(opened, **more)
    who = more.get("person") or opened.mechanic
    opened.use.photo_arrived(who, this.id, f"photo {this.id}".encode())
    return opened.use.measured(this.id, measured)


def answered(opened: RoundHouse, deg: float = 0.4, **more: Any) -> Try:
    """A photo of the line that is entered and signed."""
    this = read(opened, line_at(deg), **more)
    opened.use.answer_by_photo(opened.mechanic, this.id)
    opened.sign_work(opened.mechanic)
    return this


def place(opened: RoundHouse, deg: float, person: Person | None = None):  # type: ignore[no-untyped-def]
    marks = ((10.0, 100.0), (400.0, 100.0 + 100 * deg))
    return opened.use.look_at_photo(person or opened.inspector, tire_item(opened, "tire_line").id, marks)


def without_mark(opened: RoundHouse) -> None:
    """The tire has no creep mark: two people say so, and nothing is left to read on its photos but the line."""
    item = tire_item(opened, "tire_creep")
    opened.use.answer(opened.mechanic, item.id, ByEye(Finding.NOT_FITTED, "no mark on this wheel"))
    opened.sign_work(opened.mechanic)
    opened.use.look(opened.inspector, item.id, ByEye(Finding.NOT_FITTED, "no mark on this wheel"))


def sign_looks(opened: RoundHouse, person: Person | None = None) -> None:
    who = person or opened.inspector
    batch = opened.use.looks_to_sign(who, opened.visit.id)
    opened.use.sign_looks(who, opened.visit.id, PASSWORD, batch.record_hash)


def found_wrong(opened: RoundHouse, key: str, given: ByEye | Gauge) -> str:
    """Something wrong on an item, signed; the discrepancy's id."""
    known = {one.discrepancy.id for one in opened.use.cases(opened.visit.id)}
    opened.use.answer(opened.mechanic, tire_item(opened, key).id, given)
    opened.sign_work(opened.mechanic)
    (case,) = (one for one in opened.use.cases(opened.visit.id) if one.discrepancy.id not in known)
    return case.discrepancy.id


def closed(opened: RoundHouse) -> None:
    """Close the visit without a sign-off, so that the next one has it for an earlier one."""
    with opened.house.archive.records.begin() as work:
        shut = replace(opened.visit, closed_at=opened.house.clock.now())
        work.enter("closed-for-the-test", None, None, shut)


def gauge_again(opened: RoundHouse, reason: str) -> None:
    """Read the gauge once more, as a correction of what it read before."""
    item = tire_item(opened, "tire_pressure")
    mine = opened.use.stop(opened.mechanic, item.id).mine
    assert mine is not None
    opened.use.answer(opened.mechanic, item.id, pressed(opened), corrects=mine.id, reason=reason)
    opened.sign_work(opened.mechanic)
