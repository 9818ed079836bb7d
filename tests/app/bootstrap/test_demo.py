"""The demo filled through the real use cases: three struts in three states, once, also when cut off."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from app.bootstrap import House, build
from app.bootstrap.demo import PASSWORD, PEOPLE, SEEDS
from app.inspection import Basis, Item, ItemState, Try, TryState
from app.settings import Settings
from tests.app.cli_files import ROOT

IMAGES = ROOT / "demo_images"
PATIENCE_S = 180


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[House]:
    """A demo that was stopped at its first photo, and then filled to its end."""
    home = tmp_path_factory.mktemp("demo") / "home"
    first = build(Settings(home, demo=True), IMAGES)
    first.start()
    first.stop()
    house = build(Settings(home, demo=True), IMAGES)
    house.start()
    assert house.demo is not None
    assert house.demo.wait(PATIENCE_S), house.demo.progress
    yield house
    house.stop()


def items(house: House) -> dict[str, Item]:
    (inspection,) = house.inspections.inspections()
    found = house.inspections.items(inspection.id)
    return {house.inspections.place_of(item.id).leg.position: item for item in found}


def tries(house: House, item: Item) -> list[Try]:
    mechanic = next(person for person in house.people.everyone() if person.name == "Mechanic")
    story = house.inspections.item_story(mechanic, item.id)
    return [entry for _, entry in story.entries if isinstance(entry, Try)]


def photographed(house: House, position: str) -> Try:
    (only,) = (one for one in tries(house, items(house)[position]) if one.photo is not None)
    return only


def test_an_invented_aircraft_has_three_legs_one_of_which_may_stand_by_its_photo(demo: House) -> None:
    aircraft, other = demo.inspections.aircraft()
    assert (aircraft.registration, other.registration) == ("ZZ-GWT", "ZZ-GWW")
    assert demo.inspections.programme_followed(aircraft.id) is None
    assert demo.inspections.programme_followed(other.id) is not None
    legs = {leg.position: leg.basis for leg in demo.inspections.legs(aircraft.id)}
    assert legs == {"nose": Basis.SUPPORTING, "left main": Basis.PRIMARY, "right main": Basis.SUPPORTING}


def test_one_strut_within_its_limits_waits_for_its_confirmation(demo: House) -> None:
    this = photographed(demo, "left main")
    assert (this.state, items(demo)["left main"].state) == (TryState.SENT, ItemState.WAITING)
    assert this.result is not None
    assert this.result["verdict"] == "within"


def test_one_strut_outside_its_limits_waits_for_its_confirmation(demo: House) -> None:
    this = photographed(demo, "nose")
    assert (this.state, items(demo)["nose"].state) == (TryState.SENT, ItemState.WAITING)
    assert this.result is not None
    assert this.result["verdict"] == "outside"


def test_one_photo_was_refused_and_its_strut_waits_for_a_hand_measurement(demo: House) -> None:
    this = photographed(demo, "right main")
    assert items(demo)["right main"].state is ItemState.HAND_WANTED
    assert this.result is not None
    assert this.result["cause"] == "blurred"


def test_the_photos_are_kept_as_they_are_in_the_clone(demo: House) -> None:
    for seed in SEEDS:
        this = photographed(demo, seed.position)
        assert this.photo is not None
        assert demo.archive.photos.get(this.photo) == (IMAGES / seed.photo).read_bytes()
        assert this.annotated is not None


def test_its_people_are_roles_and_sign_in_with_the_password_that_is_shown(demo: House) -> None:
    assert {person.name: person.roles for person in demo.people.everyone()} == dict(PEOPLE)
    for name, _ in PEOPLE:
        person = demo.people.person_of(demo.people.sign_in(name, PASSWORD))
        assert person is not None
        assert person.name == name


def test_the_inspector_finds_two_waiting_and_may_confirm_them(demo: House) -> None:
    inspector = next(person for person in demo.people.everyone() if person.name == "Inspector")
    queue = demo.inspections.queue(inspector)
    assert [waiting.place.leg.position for waiting in queue] == ["left main", "nose"]
    assert demo.inspections.bare(inspector, queue[0].try_id).photo


def test_the_archive_of_the_demo_is_whole(demo: House) -> None:
    assert demo.archive.verify().faults == ()


def test_a_demo_that_is_started_again_stays_as_it_is(demo: House) -> None:
    before = {position: [one.id for one in tries(demo, item)] for position, item in items(demo).items()}
    again = build(demo.settings, IMAGES)
    again.start()
    assert again.demo is not None
    assert again.demo.wait(PATIENCE_S), again.demo.progress
    after = {position: [one.id for one in tries(again, item)] for position, item in items(again).items()}
    again.stop()
    assert after == before


def test_a_demo_that_cannot_be_filled_says_so_and_the_server_goes_on(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    house = build(Settings(tmp_path / "home", demo=True), IMAGES)
    monkeypatch.setattr(house.archive.photos, "put", _no_room)
    house.start()
    assert house.demo is not None
    assert not house.demo.wait(PATIENCE_S)
    assert house.demo.progress == "the demo could not be filled: no room"
    assert "the demo could not be filled" in caplog.text
    house.stop()


def _no_room(data: bytes) -> str:
    raise OSError("no room")
