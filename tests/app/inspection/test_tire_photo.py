"""A tire's photo from the cold tire to the second person's signature, on files and on servers."""

from dataclasses import replace

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import ItemState, Measured, Try, TryState
from app.inspection.rounds.given import ByEye, Gauge
from app.inspection.rounds.model import Finding, LookOutcome
from app.inspection.rounds.tire_cold import Cold
from app.programme import ItemCondition
from tests.app.records_house import House
from tests.app.rounds_house import FAULT, RESTORED, RoundHouse
from tests.app.tire_house import (
    COLD,
    answered,
    begun,
    line_at,
    open_pressed_tire,
    open_tire,
    place,
    pressed,
    read,
    sign_looks,
    tail,
    tire_item,
    without_mark,
)
from vision import notes
from vision.results import Refusal, to_json


@pytest.fixture
def opened(house: House) -> RoundHouse:
    """A visit with a tire whose gauge reading is good and signed."""
    return open_pressed_tire(house)


def test_a_tires_photo_is_entered_placed_blind_and_signed_and_its_item_closes(opened: RoundHouse) -> None:
    this = answered(opened)
    item = tire_item(opened, "tire_line")
    assert item.state is ItemState.WAITING
    bare = opened.use.bare_tire(opened.inspector, item.id)
    assert bare is not None and bare.labels == ("line, left end", "line, right end") and bare.mine is None
    look = place(opened, 0.6)
    assert (look.seen_from, look.finding) == ("photo", Finding.GOOD)
    both = opened.use.compared(opened.inspector, look.id)
    assert both.outcome is LookOutcome.CLOSED
    assert both.first.reading is not None and both.first.reading["value"] == 0.4
    sign_looks(opened)
    assert opened.again(item).state is ItemState.CLOSED
    assert opened.use.try_of(opened.inspector, this.id).state is TryState.SETTLED


def test_the_second_person_learns_nothing_of_the_photo_before_his_own_placing(opened: RoundHouse) -> None:
    this = answered(opened)
    item = tire_item(opened, "tire_line")
    story = opened.use.item_story(opened.inspector, item.id)
    assert story.withheld and all(one.result is None for _, one in story.entries if isinstance(one, Try))
    kept = opened.use.try_of(opened.mechanic, this.id)
    assert kept.annotated is not None and kept.photo is not None
    assert not opened.use.may_see_annotated(opened.inspector, kept.annotated)
    assert opened.use.may_see_photo(opened.inspector, kept.photo)
    place(opened, 0.6)
    # The mark is on the photo too, and he may yet have to read it.
    assert not opened.use.may_see_annotated(opened.inspector, kept.annotated)
    without_mark(opened)
    assert opened.use.may_see_annotated(opened.inspector, kept.annotated)
    assert not opened.use.may_see_annotated(opened.house.inspector_2, kept.annotated)


def test_a_tires_photo_stands_in_no_strut_queue_and_is_not_sent_as_one(opened: RoundHouse) -> None:
    this = read(opened, line_at(0.4))
    with pytest.raises(Conflict, match="This photo is no strut's"):
        opened.use.send(opened.mechanic, this.id)
    with pytest.raises(Conflict, match="This photo is no strut's"):
        opened.use.own_hand_reading(opened.mechanic, this.id, 88.9, 0.5)
    opened.use.answer_by_photo(opened.mechanic, this.id)
    assert opened.use.queue(opened.inspector) == ()
    with pytest.raises(Conflict, match="This photo is no strut's"):
        opened.use.bare(opened.inspector, this.id)


def test_placings_apart_close_nothing_and_no_other_photo_replaces_the_gauge(opened: RoundHouse) -> None:
    answered(opened)
    look = place(
        opened, 1.2
    )  # 0.8 apart, 0.5 allowed: within √(0.6² + 0.6²), which the shared geometry narrows
    assert look.finding is Finding.UNDECIDED
    sign_looks(opened)
    item = tire_item(opened, "tire_line")
    assert item.state is ItemState.TO_DO
    with pytest.raises(Conflict, match="both measure by gauge at the wheel"):
        begun(opened)
    tool = opened.gauge(quantity="angle", unit="deg", u=0.2)
    opened.use.answer(opened.mechanic, item.id, Gauge((0.5,), "deg", tool.id))
    opened.sign_work(opened.mechanic)
    assert opened.use.bare_tire(opened.inspector, item.id) is None
    opened.look(item, Gauge((0.6,), "deg", tool.id))
    assert opened.again(item).state is ItemState.CLOSED


def test_a_photo_outside_opens_its_discrepancy_at_once_with_the_photo(opened: RoundHouse) -> None:
    this = read(opened, line_at(4.1))
    opened.use.answer_by_photo(opened.mechanic, this.id)
    (case,) = opened.use.cases(opened.visit.id)
    assert case.discrepancy.text == "Tire line: 4.1 deg ± 0.6 deg is outside -3 to 3 deg; read on its photo."
    assert case.discrepancy.photo == this.photo
    assert tire_item(opened, "tire_line").state is ItemState.DISCREPANCY


def test_within_after_outside_is_not_entered_without_an_action(opened: RoundHouse) -> None:
    read(opened, line_at(4.1))
    again = read(opened, line_at(0.3))
    with pytest.raises(Conflict, match="Another photo of this item read outside"):
        opened.use.answer_by_photo(opened.mechanic, again.id)


@pytest.mark.parametrize(
    ("measured", "own", "why"),
    [
        (line_at(2.9), Finding.GOOD, "The photo cannot tell"),
        (line_at(0.4), Finding.FAULT, "by eye at the wheel it was not seen to be"),
        (line_at(0.4), Finding.UNDECIDED, "by eye at the wheel it was not seen to be"),
    ],
)
def test_what_does_not_decide_is_measured_by_gauge(
    opened: RoundHouse, measured: Measured, own: Finding, why: str
) -> None:
    this = read(opened, measured, own=own)
    with pytest.raises(Conflict, match=why):
        opened.use.answer_by_photo(opened.mechanic, this.id)
    assert tire_item(opened, "tire_line").state is ItemState.TO_DO


def test_a_refusal_answers_nothing_and_another_photo_may_follow(opened: RoundHouse) -> None:
    told = to_json(Refusal("pressure_line_angle", notes.LINE_NOT_FOUND)) | {"results": [], "level_from": None}
    this = read(opened, Measured(told))
    assert this.state is TryState.REFUSED
    with pytest.raises(Conflict, match="This photo has no reading"):
        opened.use.answer_by_photo(opened.mechanic, this.id)
    assert answered(opened).id != this.id


@pytest.mark.parametrize(
    ("cold", "error", "why"),
    [
        (Cold(hours=1.0, least_hours=3.0, document="m"), Conflict, "1 h after landing, and 3 h are asked for: wait"),
        (Cold(brake_c=180, most_brake_c=60, document="m"), Conflict, "never from the side"),
        (Cold(document="m"), UsageError, "Whether the tire is cold is not told"),
        (Cold(hours=5.0, least_hours=3.0), UsageError, "document that says when"),
        (Cold(hours=float("nan"), least_hours=3.0, document="m"), UsageError, "type it again"),
    ],
)  # fmt: skip
def test_nobody_photographs_a_tire_that_is_not_told_to_be_cold(
    opened: RoundHouse, cold: Cold, error: type[Exception], why: str
) -> None:
    with pytest.raises(error, match=why):
        begun(opened, cold=cold)


def test_what_was_told_of_the_cold_tire_stands_with_its_photo(opened: RoundHouse) -> None:
    this = begun(opened, cold=Cold(brake_c=35, most_brake_c=60, document="manual 12-10"))
    gauge = opened.use.stop(opened.mechanic, tire_item(opened, "tire_pressure").id).mine
    assert gauge is not None
    assert this.statements == (
        "The brake is at 35 °C; at most 60 °C are allowed (manual 12-10).",
        "No damage is seen on the tire and the wheel; they were approached from the front or the rear.",
        f"Gauge, {gauge.at:%d %b %Y, %H:%M} UTC: read 490 kPa ± 4 kPa loaded at 15 °C.",
        "By eye at the wheel, before the photo was read: nothing wrong.",
    )


def test_damage_or_a_missing_eye_begins_no_photo(opened: RoundHouse) -> None:
    with pytest.raises(Conflict, match="A damaged tire is not photographed from the side"):
        begun(opened, undamaged=False)
    with pytest.raises(UsageError, match="What you see by eye at the wheel comes before the photo"):
        begun(opened, own=None)


def test_no_gauge_reading_no_photo_and_no_answer_by_one(house: House) -> None:
    opened = open_tire(house)
    with pytest.raises(Conflict, match="Read the gauge first"):
        begun(opened)
    gauge = tire_item(opened, "tire_pressure")
    first = opened.use.answer(opened.mechanic, gauge.id, pressed(opened))
    this = read(opened, line_at(0.4))
    absent = ByEye(Finding.NOT_FITTED, "no valve")
    opened.use.answer(opened.mechanic, gauge.id, absent, corrects=first.id, reason="wrong wheel")
    with pytest.raises(Conflict, match="no good cold gauge reading"):
        opened.use.answer_by_photo(opened.mechanic, this.id)


def test_something_open_on_the_tire_keeps_the_camera_away(opened: RoundHouse) -> None:
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_cuts").id, FAULT)
    assert opened.use.tire_locks(tire_item(opened, "tire_line").id) == (
        "Something is open on this wheel: Tire cuts: rubbed through to the braid. Act on it and have its "
        "re-inspection signed; until then stay away from the wheel's side.",
    )
    with pytest.raises(Conflict, match="Something is open on this wheel"):
        begun(opened)


def test_a_leg_whose_data_say_none_has_no_line_to_photograph(house: House) -> None:
    opened = open_tire(house, line="none")
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, pressed(opened))
    with pytest.raises(Conflict, match="there is no line to photograph"):
        begun(opened)
    assert begun(opened, "tire_creep").options["asked"] == "creep_arc"


def test_only_a_tires_item_is_photographed_as_one_and_in_its_condition(opened: RoundHouse) -> None:
    assert opened.use.tire_locks(tire_item(opened, "tire_cuts").id) is None
    with pytest.raises(Conflict, match="is not read on a tire's photo"):
        begun(opened, "tire_cuts")
    opened.stand(ItemCondition.RESTORED, RESTORED)
    with pytest.raises(Conflict, match="is done on wheels"):
        begun(opened)


def test_who_photographed_the_tire_does_not_place_on_another_ones_photo(opened: RoundHouse) -> None:
    both = opened.house.inspector_2
    assert both.is_mechanic
    read(opened, line_at(0.5), person=both)
    answered(opened)
    with pytest.raises(NotAllowed, match="You photographed this tire yourself"):
        place(opened, 0.4, both)


def test_nothing_is_answered_while_a_photo_is_being_measured(opened: RoundHouse) -> None:
    first = read(opened, line_at(0.4))
    second = begun(opened)
    opened.use.photo_arrived(opened.mechanic, second.id, b"another photo")
    with pytest.raises(Conflict, match="A photo of it is being measured"):
        opened.use.answer_by_photo(opened.mechanic, first.id)
    with pytest.raises(Conflict, match="A photo of it is being measured"):
        opened.use.answer(opened.mechanic, tire_item(opened, "tire_line").id, FAULT)
    gaps = [one.what for one in opened.use.gaps(opened.visit.id)]
    assert "Tire line: a photo is being measured" in gaps


def test_a_photo_that_comes_after_the_answer_is_not_taken(opened: RoundHouse) -> None:
    late = begun(opened)
    answered(opened)
    with pytest.raises(Conflict, match="This item is answered"):
        opened.use.photo_arrived(opened.mechanic, late.id, b"late")


def test_a_correction_takes_the_photo_back_and_the_item_begins_anew(opened: RoundHouse) -> None:
    this = answered(opened)
    item = tire_item(opened, "tire_line")
    mine = opened.use.stop(opened.mechanic, item.id).mine
    assert mine is not None
    tool = opened.gauge(quantity="angle", unit="deg", u=0.2)
    opened.use.answer(
        opened.mechanic, item.id, Gauge((0.5,), "deg", tool.id), corrects=mine.id, reason="another line"
    )  # fmt: skip
    back = opened.use.try_of(opened.mechanic, this.id)
    assert (back.state, back.sent_at) == (TryState.READ, None)
    assert opened.again(item).state is ItemState.TO_DO


def test_the_second_person_may_look_at_the_wheel_instead(opened: RoundHouse) -> None:
    answered(opened)
    tool = opened.gauge(quantity="angle", unit="deg", u=0.2)
    opened.look(tire_item(opened, "tire_line"), Gauge((0.6,), "deg", tool.id))
    assert tire_item(opened, "tire_line").state is ItemState.CLOSED


def test_a_photo_whose_leg_is_another_one_answers_nothing(opened: RoundHouse) -> None:
    this = begun(opened)
    opened.use.photo_arrived(opened.mechanic, this.id, b"the tail's tire")
    other = opened.use.begin_tire_try(
        opened.mechanic, tire_item(opened, "tire_creep").id, COLD, undamaged=True, own=Finding.GOOD
    )  # fmt: skip
    # One photo may show line and mark of the same wheel.
    opened.use.photo_arrived(opened.mechanic, other.id, b"the tail's tire")
    assert tail(opened) == opened.use.place_of(other.item_id).leg.id


def test_the_measuring_must_give_a_reading_or_a_refusal(opened: RoundHouse) -> None:
    this = begun(opened)
    opened.use.photo_arrived(opened.mechanic, this.id, b"a photo")
    broken = line_at(0.4)
    for wrong in ({"value": float("nan")}, {"unit": None}, {"status": "maybe"}):
        with pytest.raises(ValueError, match=r"JSON compliant|unit|searched or refused"):
            opened.use.measured(this.id, replace(broken, result=broken.result | wrong))


def again(opened: RoundHouse, discrepancy_id: str):  # type: ignore[no-untyped-def]
    """Act on a discrepancy; the item that looks at it again."""
    done = opened.act(discrepancy_id)
    return opened.use.place_of(done.reinspection_id).item


def test_a_tire_that_was_filled_up_is_photographed_after_its_gauge_was_read_again(house: House) -> None:
    opened = open_tire(house)
    low = tire_item(opened, "tire_pressure")
    opened.use.answer(opened.mechanic, low.id, pressed(opened, 400.0))
    opened.sign_work(opened.mechanic)
    (case,) = opened.use.cases(opened.visit.id)
    anew = again(opened, case.discrepancy.id)
    with pytest.raises(Conflict, match="Read the gauge first"):
        begun(opened)
    opened.use.answer(opened.mechanic, anew.id, pressed(opened, 490.0))
    assert begun(opened).options["what"] == "tire"


def test_after_an_outside_and_its_action_the_reinspection_takes_a_photo_of_its_own(
    opened: RoundHouse,
) -> None:
    this = read(opened, line_at(4.1))
    opened.use.answer_by_photo(opened.mechanic, this.id)
    opened.sign_work(opened.mechanic)
    (case,) = opened.use.cases(opened.visit.id)
    anew = again(opened, case.discrepancy.id)
    with pytest.raises(Conflict, match=r"Read the gauge again: it was read .* before the tire or its wheel"):
        opened.use.begin_tire_try(opened.mechanic_2, anew.id, COLD, undamaged=True, own=Finding.GOOD)
    gauge = opened.use.stop(opened.mechanic, tire_item(opened, "tire_pressure").id)
    assert gauge.mine is not None
    opened.use.answer(
        opened.mechanic, gauge.item.id, pressed(opened), corrects=gauge.mine.id, reason="worked on"
    )
    second = opened.use.begin_tire_try(opened.mechanic_2, anew.id, COLD, undamaged=True, own=Finding.GOOD)
    opened.use.photo_arrived(opened.mechanic_2, second.id, b"after the action")
    opened.use.measured(second.id, line_at(0.4))
    opened.use.answer_by_photo(opened.mechanic_2, second.id)
    opened.sign_work(opened.mechanic_2)
    opened.use.look_at_photo(opened.inspector, anew.id, ((10.0, 100.0), (400.0, 150.0)))
    sign_looks(opened)
    assert opened.again(anew).state is ItemState.CLOSED
    assert tire_item(opened, "tire_line").state is ItemState.CLOSED
    assert opened.use.cases(opened.visit.id)[0].discrepancy.state == "cleared"


def test_the_archive_verifies_with_every_turn_a_tires_photo_can_take(opened: RoundHouse) -> None:
    answered(opened)
    place(opened, 1.2)
    sign_looks(opened)
    assert opened.house.archive.verify().faults == ()


def test_one_photo_of_a_tire_answers_for_line_and_mark_with_one_telling(opened: RoundHouse) -> None:
    this = read(opened, line_at(0.4))
    creep = tire_item(opened, "tire_creep").id
    assert [one.id for one in opened.use.tire_photos_besides(opened.mechanic, creep)] == [this.id]
    assert opened.use.tire_photos_besides(opened.mechanic_2, creep) == ()
    second = opened.use.begin_with_photo_of(opened.mechanic, creep, this.id, Finding.GOOD)
    given = opened.use.photo_of_other(opened.mechanic, second.id, this.id)
    assert (given.photo, given.state) == (this.photo, TryState.STORED)
    assert (second.statements[0], second.options["asked"]) == (this.statements[0], "creep_arc")
    with pytest.raises(Conflict, match="not one of yours of this tire"):
        opened.use.begin_with_photo_of(opened.mechanic_2, creep, this.id, Finding.GOOD)
