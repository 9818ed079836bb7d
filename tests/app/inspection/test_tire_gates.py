"""What keeps the camera away from a wheel: damage not mended, a gauge reading of another tire or day, heat."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.errors import Conflict, UsageError
from app.inspection import Try
from app.inspection.rounds.given import ByEye
from app.inspection.rounds.model import ActionKind, Finding
from app.inspection.rounds.tire_cold import Cold
from app.inspection.rounds.tire_pressure import LACKING
from app.programme import ItemCondition
from tests.app import tire_house
from tests.app.records_house import House
from tests.app.rounds_house import RESTORED, RoundHouse, _item, next_visit
from tests.app.tire_house import (
    COLD,
    PAPERS,
    begun,
    closed,
    found_wrong,
    gauge_again,
    line_at,
    open_tire,
    pressed,
    read,
    sign_looks,
    tire_item,
)

CUT = ByEye(Finding.FAULT, "cut to the cord in the sidewall")
CRACK = ByEye(Finding.FAULT, "rim flange cracked through, 40 mm")


@pytest.fixture
def opened(house: House) -> RoundHouse:
    """A visit with a tire whose gauge reading is good and signed; its programme has wheel and brake, too."""
    found = with_wheel_and_brake(house)
    gauge(found)
    return found


def with_wheel_and_brake(house: House, wheels: str = "one") -> RoundHouse:
    groups = "".join(f'[[group]]\nkey = "{one}"\ntitle = "{one}"\n' for one in ("wheel", "brake"))
    first = '[[group]]\nkey = "gear_swing"'
    whole = tire_house.TIRE_PROGRAMME.replace(first, groups + first)
    whole = whole.replace(tire_house._PRESSURE, _item("hoses", "lines") + tire_house._PRESSURE)
    whole += _item("wheel", "wheel") + _item("brake_condition", "brake")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tire_house, "TIRE_PROGRAMME", whole)
        return open_tire(house, wheels=wheels)


def gauge(opened: RoundHouse, key: str = "tire_pressure") -> None:
    opened.use.answer(opened.mechanic, tire_item(opened, key).id, pressed(opened))
    opened.sign_work(opened.mechanic)


def locks(opened: RoundHouse, key: str = "tire_line") -> tuple[str, ...]:
    found = opened.use.tire_locks(tire_item(opened, key).id)
    assert found is not None
    return found


def reinspected(opened: RoundHouse, item_id: str) -> None:
    """A re-inspection by eye, done and looked at."""
    item = opened.use.place_of(item_id).item
    opened.use.answer(opened.mechanic_2, item.id, ByEye(Finding.GOOD))
    opened.sign_work(opened.mechanic_2)
    opened.look(item)


@pytest.mark.parametrize(("key", "given"), [("wheel", CRACK), ("brake_condition", CRACK), ("tire_cuts", CUT)])
def test_damage_of_tire_wheel_or_brake_keeps_the_camera_away_until_its_reinspection_is_signed(
    opened: RoundHouse, key: str, given: ByEye
) -> None:
    id_ = found_wrong(opened, key, given)
    (open_,) = locks(opened)
    assert open_.startswith("Something is open on this wheel: ") and given.text in open_
    assert "Act on it and have its re-inspection signed; until then stay away" in open_
    with pytest.raises(Conflict, match="Something is open on this wheel"):
        begun(opened)
    opened.defer(id_)
    (deferred,) = locks(opened)
    assert (
        deferred.startswith("Something on this wheel is deferred: ") and "Deferred is not mended" in deferred
    )
    done = opened.act(id_)
    assert any(one.startswith("Something on this wheel was acted on and is not inspected again: ")
               for one in locks(opened))  # fmt: skip
    reinspected(opened, done.reinspection_id)
    if key != "brake_condition":
        gauge_again(opened, "the tire was worked on")
    assert locks(opened) == ()
    assert begun(opened).options["what"] == "tire"


def test_what_is_wrong_on_a_hose_keeps_no_camera_from_the_wheel(opened: RoundHouse) -> None:
    found_wrong(opened, "hoses", ByEye(Finding.FAULT, "rubbed through"))
    assert locks(opened) == ()


def test_damage_deferred_on_an_earlier_visit_still_keeps_the_camera_away(opened: RoundHouse) -> None:
    opened.defer(found_wrong(opened, "tire_cuts", CUT))
    closed(opened)
    next_visit(opened)
    gauge(opened)
    (lock,) = locks(opened)
    assert lock.startswith("Something on this wheel is deferred (found on an earlier visit): ")


def test_damage_of_one_twin_wheel_leaves_the_other_and_damage_of_their_axle_neither(house: House) -> None:
    opened = with_wheel_and_brake(house, wheels="twin")
    for wheel in ("left", "right"):
        gauge(opened, f"tire_pressure@{wheel}")
    found_wrong(opened, "tire_cuts@left", CUT)
    assert len(locks(opened, "tire_line@left")) == 1
    assert locks(opened, "tire_line@right") == ()
    found_wrong(opened, "wheel", CRACK)
    assert len(locks(opened, "tire_line@left")) == 2
    assert len(locks(opened, "tire_line@right")) == 1


def test_a_line_read_outside_and_acted_on_locks_neither_its_own_reinspection_nor_the_mark(
    opened: RoundHouse,
) -> None:
    this = read(opened, line_at(4.1))
    opened.use.answer_by_photo(opened.mechanic, this.id)
    opened.sign_work(opened.mechanic)
    (case,) = opened.use.cases(opened.visit.id)
    (open_,) = locks(opened, "tire_creep")
    assert open_.startswith("Something is open on this wheel: Tire line: 4.1 deg")
    assert open_.endswith("; read on its photo. Act on it first.")
    done = opened.act(case.discrepancy.id)
    gauge_again(opened, "the tire was worked on")
    assert opened.use.tire_locks(done.reinspection_id) == ()
    assert locks(opened, "tire_creep") == ()


def test_damage_told_by_eye_on_the_line_locks_the_mark_and_not_its_own_reinspection(
    opened: RoundHouse,
) -> None:
    done = opened.act(found_wrong(opened, "tire_line", ByEye(Finding.FAULT, "sidewall torn open")))
    gauge_again(opened, "the tire was worked on")
    assert opened.use.tire_locks(done.reinspection_id) == ()
    assert [
        one.startswith("Something on this wheel was acted on") for one in locks(opened, "tire_creep")
    ] == [True]


def test_the_gauge_reading_of_the_tire_before_unlocks_nothing_of_its_replacement(opened: RoundHouse) -> None:
    done = opened.act(found_wrong(opened, "tire_cuts", CUT), ActionKind.REPLACED, "tire replaced", **PAPERS)
    reinspected(opened, done.reinspection_id)
    (lock,) = locks(opened)
    assert lock.startswith("Read the gauge again: it was read 01 May 2024, 08:")
    assert "before the tire or its wheel was worked on (replaced, 01 May 2024, 08:" in lock
    assert lock.endswith("Correct its reading and say why.")
    gauge_again(opened, "another tire")
    assert locks(opened) == ()


def test_a_photo_of_the_tire_before_answers_nothing_of_its_replacement(opened: RoundHouse) -> None:
    this = read(opened, line_at(0.4))
    done = opened.act(found_wrong(opened, "tire_cuts", CUT), ActionKind.REPLACED, "tire replaced", **PAPERS)
    reinspected(opened, done.reinspection_id)
    gauge_again(opened, "another tire")
    with pytest.raises(
        Conflict, match=r"worked on \(replaced, .*\) since this photo was begun: photograph it"
    ):
        opened.use.answer_by_photo(opened.mechanic, this.id)
    with pytest.raises(Conflict, match="photograph it again"):
        opened.use.begin_with_photo_of(
            opened.mechanic, tire_item(opened, "tire_creep").id, this.id, Finding.GOOD
        )


def test_no_tire_item_closes_on_the_gauge_reading_of_the_tire_before(opened: RoundHouse) -> None:
    this = read(opened, line_at(0.4))
    opened.use.answer_by_photo(opened.mechanic, this.id)
    opened.sign_work(opened.mechanic)
    opened.use.look_at_photo(
        opened.inspector, tire_item(opened, "tire_line").id, ((10.0, 100.0), (400.0, 160.0))
    )
    opened.act(found_wrong(opened, "tire_cuts", CUT), ActionKind.REPLACED, "tire replaced", **PAPERS)
    assert opened.use.looks_held(opened.inspector, opened.visit.id) == (f"Tire line: {LACKING}",)


def test_a_gauge_reading_of_another_day_unlocks_no_photo_and_closes_what_was_begun_on_its_own(
    opened: RoundHouse,
) -> None:
    this = read(opened, line_at(0.4))
    opened.house.clock.at += timedelta(hours=23)
    assert locks(opened) == ()
    opened.house.clock.at += timedelta(hours=2)
    with pytest.raises(Conflict, match=r"Read the gauge again: it was read .* UTC, more than 24 h before"):
        begun(opened)
    # The photo itself was begun while the reading counted: what it did not show is shown, and it is entered.
    creep = tire_item(opened, "tire_creep").id
    opened.use.begin_with_photo_of(opened.mechanic, creep, this.id, Finding.GOOD)
    opened.use.answer_by_photo(opened.mechanic, this.id)
    opened.sign_work(opened.mechanic)
    opened.use.look_at_photo(opened.inspector, this.item_id, ((10.0, 100.0), (400.0, 160.0)))
    sign_looks(opened)
    assert tire_item(opened, "tire_line").state == "closed"


def gauge_said(this: Try) -> str:
    (said,) = (one for one in this.statements if one.startswith("Gauge"))
    return said


def test_what_the_gauge_read_and_what_became_of_it_stands_with_the_photo(house: House) -> None:
    opened = open_tire(house, state="unloaded")
    loaded = pressed(opened, 520.0, state="loaded", c=None)
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, loaded)
    said = gauge_said(begun(opened))
    assert said.startswith("Gauge on the cold tire, 01 May 2024, 08:")
    assert said.endswith(" UTC: read 520 kPa loaded, 500 kPa ± 11 kPa unloaded.")


def test_the_temperature_that_a_pressure_was_brought_to_is_told(house: House) -> None:
    opened = open_tire(house, more="pressure_temperature_C = 15.0")
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, pressed(opened, 490.0, c=20.0))
    assert ": read 490 kPa loaded at 20 °C, 480 kPa ± " in gauge_said(begun(opened))
    assert gauge_said(begun(opened)).endswith(" loaded at 15 °C.")


@pytest.mark.parametrize(
    ("cold", "hours_later", "is_cold"),
    [
        (Cold(hours=5, least_hours=3, document="m"), 0, True),
        (Cold(hours=5, least_hours=3, document="m"), 3, False),  # read 2 h after the landing
        (Cold(brake_c=35, most_brake_c=60, document="m"), 0, False),  # the brake now, the gauge before that
    ],
)
def test_a_gauge_reading_is_called_cold_only_where_it_was_told_to_be(
    opened: RoundHouse, cold: Cold, hours_later: int, is_cold: bool
) -> None:
    opened.house.clock.at += timedelta(hours=hours_later)
    this = begun(opened, cold=cold)
    assert gauge_said(this).startswith("Gauge on the cold tire, 01 May" if is_cold else "Gauge, 01 May")


def test_a_photo_used_for_both_items_says_the_same_of_the_gauge(opened: RoundHouse) -> None:
    this = read(opened, line_at(0.4))
    creep = tire_item(opened, "tire_creep").id
    other = opened.use.begin_with_photo_of(opened.mechanic, creep, this.id, Finding.GOOD)
    assert gauge_said(other) == gauge_said(this) and gauge_said(this).startswith("Gauge on the cold tire")


@pytest.mark.parametrize(
    ("cold", "error", "why"),
    [
        (Cold(hours=0, least_hours=0, document="m"), UsageError, "At least 0 h after landing asks for no waiting"),
        (Cold(hours=1, least_hours=-1, document="m"), UsageError, "At least -1 h after landing asks for no waiting"),
        (Cold(brake_c=20, most_brake_c=301, document="m"), UsageError, "A brake at up to 301 °C is not cold"),
        (replace(COLD, brake_c=90, most_brake_c=60), Conflict, "The brake is at 90 °C, and at most 60 °C"),
        (replace(COLD, hours=1, brake_c=30, most_brake_c=60), Conflict, "1 h after landing, and 3 h are asked for"),
        (replace(COLD, brake_c=900), UsageError, "the highest that the document allows go together: give both"),
        (Cold(hours=5, brake_c=30, most_brake_c=60, document="m"), UsageError, "go together: give both"),
    ],
)  # fmt: skip
def test_both_ways_of_being_cold_have_to_fit_and_absurd_limits_are_none(
    opened: RoundHouse, cold: Cold, error: type[Exception], why: str
) -> None:
    with pytest.raises(error, match=why):
        begun(opened, cold=cold)


def test_where_both_are_told_and_fit_both_stand_with_the_photo(opened: RoundHouse) -> None:
    this = begun(opened, cold=replace(COLD, brake_c=35, most_brake_c=60))
    assert this.statements[0] == (
        "The last landing was 5 h ago; at least 3 h are asked for; "
        "the brake is at 35 °C; at most 60 °C are allowed (manual 12-10 rev 2)."
    )


def test_the_archive_verifies_after_a_tire_was_replaced_and_photographed(opened: RoundHouse) -> None:
    done = opened.act(found_wrong(opened, "tire_cuts", CUT), ActionKind.REPLACED, "tire replaced", **PAPERS)
    reinspected(opened, done.reinspection_id)
    gauge_again(opened, "another tire")
    opened.use.answer_by_photo(opened.mechanic, read(opened, line_at(0.4)).id)
    opened.sign_work(opened.mechanic)
    opened.stand(ItemCondition.RESTORED, RESTORED)
    assert opened.house.archive.verify().faults == ()
