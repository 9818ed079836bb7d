"""The demo's tires: on the aircraft that follows the programme each leg's tire can be photographed."""

from pathlib import Path

from app.bootstrap import build
from app.settings import Settings
from tests.app.cli_files import ROOT

IMAGES = ROOT / "demo_images"
POSITIONS = {"nose", "left main", "right main"}


def test_nothing_but_the_gauge_keeps_a_demo_tire_from_being_photographed(tmp_path: Path) -> None:
    house = build(Settings(tmp_path / "home", demo=True), IMAGES)
    use = house.inspections
    mechanic = next(person for person in house.people.everyone() if person.name == "Mechanic")
    aircraft = next(one for one in use.aircraft() if one.registration == "ZZ-GWW")
    visit = use.open_inspection(mechanic, aircraft.id)
    for key in ("tire_line", "tire_creep"):
        found = [item for item in use.items(visit.id) if item.key == key]
        assert {use.place_of(item.id).leg.position for item in found} == POSITIONS
        for item in found:
            assert use.tire_locks(item.id) == (
                "Read the gauge first: no good cold gauge reading of this tire stands.",
            )
