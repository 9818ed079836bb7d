"""Twin wheels are two tires: each has its own items, its own gauge reading and its own photo."""

import pytest

from app.errors import Conflict
from app.inspection import ItemState
from app.inspection.rounds.model import Finding
from tests.app.records_house import House
from tests.app.tire_house import COLD, line_at, open_tire, pressed, sign_looks, tire_item

MARKS = ((10.0, 100.0), (400.0, 140.0))


def test_each_twin_wheel_has_its_own_items_in_walk_round_order(house: House) -> None:
    opened = open_tire(house, wheels="twin")
    walk = opened.use.walk(opened.mechanic, opened.visit.id, tire_item(opened, "tire_line@left").leg_id)
    assert [one.title for one in walk.stops] == [
        "Tire pressure, left wheel", "Tire pressure, right wheel", "Tire line, left wheel", "Tire line, right wheel",
        "Tire creep, left wheel", "Tire creep, right wheel", "Tire cuts, left wheel", "Tire cuts, right wheel",
    ]  # fmt: skip
    gaps = {one.what for one in opened.use.gaps(opened.visit.id)}
    assert "Tire line, right wheel: not inspected" in gaps


def test_the_gauge_of_one_wheel_unlocks_and_closes_nothing_of_the_other(house: House) -> None:
    opened = open_tire(house, wheels="twin")
    use, mechanic = opened.use, opened.mechanic
    use.answer(mechanic, tire_item(opened, "tire_pressure@left").id, pressed(opened))
    left, right = tire_item(opened, "tire_line@left"), tire_item(opened, "tire_line@right")
    assert use.tire_locks(left.id) == ()
    assert use.tire_locks(right.id) == (
        "Read the gauge first: no good cold gauge reading of this tire stands.",
    )
    this = use.begin_tire_try(mechanic, left.id, COLD, undamaged=True, own=Finding.GOOD)
    use.photo_arrived(mechanic, this.id, b"the left tire")
    use.measured(this.id, line_at(0.4))
    use.answer_by_photo(mechanic, this.id)
    opened.sign_work(mechanic)
    use.look_at_photo(opened.inspector, left.id, MARKS)
    sign_looks(opened)
    assert opened.again(left).state is ItemState.CLOSED
    assert opened.again(right).state is ItemState.TO_DO


def test_one_photo_is_of_one_wheel(house: House) -> None:
    opened = open_tire(house, wheels="twin")
    use, mechanic = opened.use, opened.mechanic
    begun = []
    for wheel in ("left", "right"):
        use.answer(mechanic, tire_item(opened, f"tire_pressure@{wheel}").id, pressed(opened))
        item = tire_item(opened, f"tire_line@{wheel}")
        begun.append(use.begin_tire_try(mechanic, item.id, COLD, undamaged=True, own=Finding.GOOD))
    use.photo_arrived(mechanic, begun[0].id, b"the left tire")
    with pytest.raises(Conflict, match="sent for the other wheel"):
        use.photo_arrived(mechanic, begun[1].id, b"the left tire")


def test_no_photo_before_it_is_known_how_many_tires_the_leg_has(house: House) -> None:
    opened = open_tire(house, wheels="")
    opened.use.answer(opened.mechanic, tire_item(opened, "tire_pressure").id, pressed(opened))
    (lock,) = opened.use.tire_locks(tire_item(opened, "tire_line").id) or ()
    assert lock.startswith("Whether this leg has one wheel or twin wheels is not answered")


def test_the_record_names_the_wheel(house: House) -> None:
    opened = open_tire(house, wheels="twin")
    (leg,) = (one for one in opened.use.record(opened.visit.id)["legs"] if one["position"] == "tail")
    assert [one["title"] for one in leg["items"]][:2] == [
        "Tire pressure, left wheel",
        "Tire pressure, right wheel",
    ]
