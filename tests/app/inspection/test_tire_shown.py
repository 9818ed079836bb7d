"""What the program does not find on a tire's photo is shown on it by the person, and stated."""

import pytest

from app.errors import Conflict, NotAllowed, UsageError
from app.inspection import Measured, Try, TryState
from app.inspection.rounds.tire_rules import Shown
from tests.app.records_house import House
from tests.app.rounds_house import RoundHouse
from tests.app.tire_house import begun, line_at, open_pressed_tire, read
from vision import notes
from vision.results import Refusal, to_json


@pytest.fixture
def opened(house: House) -> RoundHouse:
    """A visit with a tire whose gauge reading is good and signed."""
    return open_pressed_tire(house)


REFUSED = to_json(Refusal("pressure_line_angle", notes.LINE_NOT_FOUND)) | {"results": [], "level_from": None}
AROUND = [(100.0 + 10 * n, 200.0) for n in range(8)]


def show(opened: RoundHouse, this: Try, what: Shown = Shown.RIM, points=AROUND, who=None) -> Try:  # type: ignore[no-untyped-def]
    person = who or opened.mechanic
    begun_anew = opened.use.begin_shown(person, this.id, what, points)
    return opened.use.photo_of_other(person, begun_anew.id, this.id)


def test_what_was_not_found_is_shown_on_the_same_photo_and_stated(opened: RoundHouse) -> None:
    this = read(opened, Measured(REFUSED))
    again = show(opened, this)
    assert (again.photo, again.state) == (this.photo, TryState.STORED)
    assert again.options["rim_px"] == [[x, y] for x, y in AROUND]
    assert again.options["own"] == this.options["own"]
    assert set(again.statements) - set(this.statements) == {"Shown on the photo: the flange's outer edge."}
    assert set(this.statements) <= set(again.statements)
    opened.use.measured(again.id, Measured(REFUSED))
    last = show(opened, again, Shown.GROUND, AROUND[:2])  # one after the other: the rim stays shown
    assert {one for one in Shown if one in last.options} == {Shown.RIM, Shown.GROUND}
    opened.use.measured(last.id, line_at(0.4))
    opened.use.answer_by_photo(opened.mechanic, last.id)
    opened.sign_work(opened.mechanic)
    bare = opened.use.bare_tire(opened.inspector, this.item_id)
    assert bare is not None
    assert [one for one in bare.statements if one.startswith("Shown")] == [
        "Shown on the photo: the flange's outer edge.",
        "Shown on the photo: where the tire meets the ground.",
    ]
    assert opened.house.archive.verify().faults == ()


def test_too_few_points_show_nothing(opened: RoundHouse) -> None:
    this = read(opened, Measured(REFUSED))
    with pytest.raises(UsageError, match="the flange's outer edge: place all 8 points"):
        show(opened, this, points=AROUND[:7])


@pytest.mark.parametrize("second", [AROUND[0], (AROUND[0][0] + 3, AROUND[0][1]), (float("nan"), 5.0)])
def test_one_place_twice_or_nowhere_shows_nothing(opened: RoundHouse, second: tuple[float, float]) -> None:
    this = read(opened, Measured(REFUSED))
    with pytest.raises(UsageError, match="place the points apart from each other"):
        show(opened, this, Shown.GROUND, [AROUND[0], second])


def test_only_ones_own_tire_photo_that_is_measured_can_be_shown_on(opened: RoundHouse) -> None:
    this = read(opened, Measured(REFUSED))
    with pytest.raises(NotAllowed):
        show(opened, this, who=opened.mechanic_2)
    waiting = begun(opened)
    with pytest.raises(Conflict, match="Nothing can be shown on this photo yet"):
        opened.use.begin_shown(opened.mechanic, waiting.id, Shown.RIM, AROUND)


def test_a_photo_that_read_outside_is_not_shown_within(opened: RoundHouse) -> None:
    this = read(opened, line_at(9.0))
    again = show(opened, this, Shown.GROUND, AROUND[:2])
    opened.use.measured(again.id, line_at(0.4))
    with pytest.raises(Conflict):
        opened.use.answer_by_photo(opened.mechanic, again.id)
