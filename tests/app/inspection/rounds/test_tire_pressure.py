"""A tire's gauge reading: told as its document states it, and without it nothing of the tire closes."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest

from app.errors import Conflict, UsageError
from app.inspection import ItemState
from app.inspection.rounds.given import ByEye, Gauge
from app.inspection.rounds.model import ActionKind, Finding
from app.inspection.rounds.tire_pressure import LACKING
from tests.app import tire_house
from tests.app.records_house import PASSWORD, House
from tests.app.rounds_house import RoundHouse, next_visit
from tests.app.tire_house import PAPERS, closed, found_wrong, open_tire, pressed, tire_item

Answered = Callable[[str, Gauge], object]


def reading_of(opened: RoundHouse, given: Gauge) -> dict[str, object]:
    made = opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, given)
    assert made.reading is not None
    return made.reading


def angle(opened: RoundHouse, deg: float) -> Gauge:
    tools = [one for one in opened.use.instruments() if one.quantity == "angle"]
    tool = tools[0] if tools else opened.gauge(quantity="angle", unit="deg", u=0.2)
    return Gauge((deg,), "deg", tool.id)


def test_a_pressure_read_loaded_is_told_unloaded_where_the_document_states_it_so(house: House) -> None:
    opened = open_tire(house, state="unloaded")
    kept = reading_of(opened, pressed(opened, 520.0, state="loaded"))
    # 4 %: tire care practice in FAA-H-8083-31 ch. 13 (read in a derived text).
    assert kept["value"] == pytest.approx(500.0, abs=0.01)
    assert (kept["state"], kept["stated"]) == ("loaded", "unloaded")
    # The gauge's 0.5 psi and 1 % of how much the load makes of it.
    assert kept["expanded_u"] == pytest.approx(
        ((0.5 * 6.894757 / 1.04) ** 2 + (1.96 * 0.01 * 500) ** 2) ** 0.5, rel=1e-3
    )


def test_a_leg_without_its_flange_still_states_its_pressure(house: House) -> None:
    opened = open_tire(
        house, state="unloaded", more="pressure_temperature_C = 15.0", without="flange_diameter_mm"
    )
    kept = reading_of(opened, pressed(opened, 470.0, state="loaded", c=45.0))
    # Unloaded by 4 %, then by the gas law from 45 to 15 °C in absolute pressure: computed.
    assert kept["value"] == pytest.approx((470.0 / 1.04 + 101.325) * 288.15 / 318.15 - 101.325, abs=0.05)
    assert (kept["lower"], kept["upper"], kept["verdict"]) == (460.0, 520.0, "outside")


def test_five_fahrenheit_colder_is_one_percent_of_the_absolute_pressure(house: House) -> None:
    opened = open_tire(house, more="pressure_temperature_C = 15.0")
    kept = reading_of(opened, pressed(opened, 490.0, c=15.0 - 5 / 1.8))
    # 0.964 % of the absolute pressure at 59 °F: gas law, computed.
    assert (kept["value"] - 490.0) / (490.0 + 101.325) == pytest.approx(0.00973, abs=2e-5)  # type: ignore[operator]
    assert kept["stated_c"] == 15.0


def test_how_it_was_read_has_to_be_told_where_the_document_says_how(house: House) -> None:
    opened = open_tire(house, more="pressure_temperature_C = 15.0")
    with pytest.raises(UsageError, match="say whether the wheel was loaded"):
        reading_of(opened, pressed(opened, state=""))
    with pytest.raises(UsageError, match="write down the temperature of the cold tire"):
        reading_of(opened, pressed(opened, c=None))
    with pytest.raises(UsageError, match="a cold tire is not at 140 °C"):
        reading_of(opened, pressed(opened, c=140.0))


def test_a_tire_item_does_not_close_before_its_gauge_reading_is_good(house: House) -> None:
    opened = open_tire(house)
    line = tire_item(opened, "tire_line")
    opened.use.answer(opened.mechanic, line.id, angle(opened, 0.4))
    opened.sign_work(opened.mechanic)
    opened.use.look(opened.inspector, line.id, angle(opened, 0.5))
    batch = opened.use.looks_to_sign(opened.inspector, opened.visit.id)
    assert batch.lines == ()
    assert opened.use.looks_held(opened.inspector, opened.visit.id) == (f"Tire line: {LACKING}",)
    with pytest.raises(Conflict, match="Tire line: its tire has no good cold gauge reading"):
        opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, batch.record_hash)
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, pressed(opened))
    batch = opened.use.looks_to_sign(opened.inspector, opened.visit.id)
    opened.use.sign_looks(opened.inspector, opened.visit.id, PASSWORD, batch.record_hash)
    assert opened.again(line).state is ItemState.CLOSED


@pytest.mark.parametrize("wrong", [400.0, 519.0])
def test_a_gauge_reading_that_is_outside_or_undecided_closes_no_tire_item(house: House, wrong: float) -> None:
    opened = open_tire(house)
    line = tire_item(opened, "tire_line")
    opened.use.answer(opened.mechanic, line.id, angle(opened, 0.4))
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, pressed(opened, wrong))
    opened.sign_work(opened.mechanic)
    opened.use.look(opened.inspector, line.id, angle(opened, 0.5))
    assert opened.use.looks_held(opened.inspector, opened.visit.id) == (f"Tire line: {LACKING}",)


def test_a_gauge_reading_taken_back_later_is_a_gap_of_the_closed_tire_item(house: House) -> None:
    opened = open_tire(house)
    line, gauge = tire_item(opened, "tire_line"), tire_item(opened, "tire_pressure")
    first = opened.use.answer(opened.mechanic, gauge.id, pressed(opened))
    opened.use.answer(opened.mechanic, line.id, angle(opened, 0.4))
    opened.sign_work(opened.mechanic)
    opened.look(line, angle(opened, 0.5))
    assert opened.again(line).state is ItemState.CLOSED
    opened.use.answer(
        opened.mechanic, gauge.id, ByEye(Finding.NOT_FITTED, "no valve"), corrects=first.id, reason="wrong wheel"
    )  # fmt: skip
    gaps = [one.what for one in opened.use.gaps(opened.visit.id) if one.item_id == line.id]
    assert gaps == ["Tire line: its tire has no good cold gauge reading, and a photo does not replace it"]


def test_what_was_lost_since_the_last_visit_is_told_for_one_day(house: House) -> None:
    opened = open_tire(house)
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, pressed(opened, 500.0))
    assert opened.use.pressure_loss(opened.mechanic, tire_item(opened, "tire_pressure").id) is None
    closed(opened)
    house.clock.at += timedelta(days=2)
    next_visit(opened)
    item = tire_item(opened, "tire_pressure")
    opened.use.answer(opened.mechanic, item.id, pressed(opened, 490.0))
    lost = opened.use.pressure_loss(opened.mechanic, item.id)
    assert lost is not None
    assert lost.share == pytest.approx(1 - (490 / 500) ** 0.5, rel=0.01)  # 1.0 % in 24 h
    assert 0.0 < lost.expanded_u < 0.02


def test_a_pressure_with_no_lower_limit_is_never_good(house: House, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tire_house, "LEG", tire_house.LEG.replace("pressure_lower_kPa = 460.0\n", ""))
    opened = open_tire(house)
    item = tire_item(opened, "tire_pressure")
    for kpa in (40.0, 490.0, 519.0):
        with pytest.raises(
            UsageError, match="the lower limit is missing, and without it a flat tire would pass"
        ):
            opened.use.answer(opened.mechanic, item.id, pressed(opened, kpa))
    assert opened.use.answer(opened.mechanic, item.id, pressed(opened, 600.0)).finding is Finding.FAULT


@pytest.mark.parametrize("lower", [None, 0.0])
def test_a_typed_pressure_limit_needs_its_lower_end_too(
    house: House, monkeypatch: pytest.MonkeyPatch, lower: float | None
) -> None:
    bare = tire_house.LEG.replace("pressure_lower_kPa = 460.0\n", "").replace(
        "pressure_upper_kPa = 520.0\n", ""
    )
    monkeypatch.setattr(tire_house, "LEG", bare)
    opened = open_tire(house)
    given = replace(pressed(opened, 40.0), lower=lower, upper=75.0, document="manual 12-10")
    with pytest.raises(UsageError, match="the lower limit is missing"):
        opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, given)


def filled(opened: RoundHouse, found: float, after: float) -> None:
    """A tire found low, filled up, and read again."""
    done = opened.act(found_wrong(opened, "tire_pressure", pressed(opened, found)), ActionKind.SERVICED)
    anew = opened.use.place_of(done.reinspection_id).item
    opened.use.answer(opened.mechanic_2, anew.id, pressed(opened, after))
    opened.sign_work(opened.mechanic_2)


def test_a_leak_is_not_hidden_by_the_low_reading_before_the_tire_was_filled(house: House) -> None:
    opened = open_tire(house)
    filled(opened, 400.0, 510.0)
    closed(opened)
    house.clock.at += timedelta(days=1)
    next_visit(opened)
    item = tire_item(opened, "tire_pressure")
    opened.use.answer(opened.mechanic, item.id, pressed(opened, 470.0))
    lost = opened.use.pressure_loss(opened.mechanic, item.id)
    assert lost is not None
    assert lost.share == pytest.approx(1 - 470 / 510, abs=0.001)  # 7.8 % in 24 h


def test_a_reading_found_low_and_put_off_is_no_beginning_of_a_loss(house: House) -> None:
    opened = open_tire(house)
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, pressed(opened, 500.0))
    closed(opened)
    house.clock.at += timedelta(days=1)
    next_visit(opened)
    opened.defer(found_wrong(opened, "tire_pressure", pressed(opened, 400.0)))
    closed(opened)
    house.clock.at += timedelta(days=1)
    next_visit(opened)
    item = tire_item(opened, "tire_pressure")
    opened.use.answer(opened.mechanic, item.id, pressed(opened, 490.0))
    lost = opened.use.pressure_loss(opened.mechanic, item.id)
    assert lost is not None
    assert lost.share == pytest.approx(1 - (490 / 500) ** 0.5, abs=0.001)


def test_no_loss_is_told_between_two_tires(house: House) -> None:
    opened = open_tire(house)
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, pressed(opened, 500.0))
    closed(opened)
    house.clock.at += timedelta(days=1)
    next_visit(opened)
    opened.act(
        found_wrong(opened, "tire_cuts", ByEye(Finding.FAULT, "cut to the cord")),
        ActionKind.REPLACED,
        "tire replaced",
        **PAPERS,
    )
    item = tire_item(opened, "tire_pressure")
    opened.use.answer(opened.mechanic, item.id, pressed(opened, 490.0))
    assert opened.use.pressure_loss(opened.mechanic, item.id) is None
