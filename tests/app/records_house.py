"""An archive in a folder with people, an aircraft and its legs, as the tests of the records need it."""

import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from argon2 import PasswordHasher

from app.archive import Archive
from app.inspection import (
    Aircraft,
    Basis,
    Clock,
    Comparison,
    Confirmation,
    Inspections,
    Item,
    Jobs,
    LegEntry,
    Measured,
    Measurer,
    Person,
    Pixel,
    PlacedLength,
    PlacedValue,
    Role,
    Try,
)
from app.people import People
from tests.services.ground import Ground
from vision import notes
from vision.errors import PhotoError
from vision.photo import read_photo, taken_at
from vision.results import BudgetLine, Limits, Reading, Refusal, to_json
from vision.scale.markers import find_markers
from vision.verdict import judge

FAST = PasswordHasher(time_cost=1, memory_cost=8, parallelism=1)
LIMITS = Limits(82.55, 95.25, "demo manual")
PASSWORD = "only for the tests"
STATED = ("On its wheels, normally loaded, on level ground.",)
WITHIN, OUTSIDE, UNDECIDED = 88.9, 97.0, 95.2
_LEG = """
aircraft = "{registration}"
position = "{position}"
document = "demo manual 32-10-05 rev 3"
[strut]
extension_mm = 88.9
lower_mm = 82.55
upper_mm = 95.25
measured_from = "band"
measured_to = "collar"
piston_diameter_mm = 62.0
collar_diameter_mm = 98.0
"""


class TickingClock(Clock):
    """A clock that goes on by a second, or by another `step`, whenever it is looked at."""

    def __init__(self) -> None:
        self.at = datetime(2024, 5, 1, 8, 0, tzinfo=UTC)
        self.step = timedelta(seconds=1)

    def now(self) -> datetime:
        self.at += self.step
        return self.at


class TenthsPerPixel(Measurer):
    """A tenth of a mm to a pixel along y; any two placings agree within 0.5 mm."""

    def measure(self, photo: bytes, leg_toml: str, options: Any) -> Measured:
        raise NotImplementedError

    def length_at(self, result: Any, from_px: Pixel, to_px: Pixel) -> PlacedLength:
        return PlacedLength((to_px[1] - from_px[1]) / 10, 0.6, 0.5)

    def placed_on_tire(self, result: Any, name: str, marks: Any) -> PlacedValue:
        """A hundredth of the unit to a pixel along y between the marks; any two agree within 0.5."""
        (_, y0), (_, y1) = marks
        return PlacedValue((y1 - y0) / 100, 0.6, 0.5)

    def leg_tags(self, photo: bytes) -> frozenset[int]:
        try:
            return frozenset(find_markers(read_photo(photo)).leg_tags)
        except PhotoError:
            return frozenset()

    def taken_at(self, photo: bytes) -> datetime | None:
        try:
            return taken_at(photo)
        except PhotoError:
            return None


def leg_toml(registration: str, position: str) -> str:
    return _LEG.format(registration=registration, position=position)


def reading(value: float, u: float = 0.4) -> Measured:
    """A photo's reading held against `LIMITS`, with its annotated copy."""
    read = Reading(
        "strut_extension", value, "mm", u, (BudgetLine("card", u / 1.96),), {"px_per_mm": 10.1}, (),
        LIMITS, judge(value, u, LIMITS),
    )  # fmt: skip
    return Measured(to_json(read), f"annotated {value}".encode())


def refusal(remedy: notes.Remedy = notes.NO_CARD) -> Measured:
    return Measured(to_json(Refusal("strut_extension", remedy)), b"annotated refusal")


class Waiting(Jobs):
    """A queue in which nothing is measured; `places` says how many go before whom."""

    def __init__(self) -> None:
        self.submitted: list[str] = []
        self.places: dict[str, int] = {}

    def submit(self, try_id: str) -> None:
        self.submitted.append(try_id)

    def before(self, try_id: str) -> int | None:
        return self.places.get(try_id)


@dataclass
class House:
    """Everything wired; `ids` counts the photos, so that each is another one."""

    ground: Ground
    archive: Archive
    inspections: Inspections
    people: People
    clock: TickingClock
    mechanic: Person
    inspector: Person
    inspector_2: Person
    aircraft: Aircraft
    supporting: LegEntry
    primary: LegEntry
    photos: int = field(default=0)
    jobs: Waiting = field(default_factory=Waiting)

    @property
    def home(self) -> Path:
        return self.ground.home

    def stored(self, leg: LegEntry | None = None, person: Person | None = None, **told: Any) -> Try:
        """A try whose photo is stored."""
        who = person or self.mechanic
        begun = self.inspections.begin_try(who, (leg or self.primary).id, STATED, told)
        self.photos += 1
        return self.inspections.photo_arrived(who, begun.id, b"photo %d" % self.photos, "IMG_1.jpg")

    def measured(self, value: float | Measured, leg: LegEntry | None = None, **more: Any) -> Try:
        """A try that is measured: a value in mm, or what the measuring gives."""
        given = value if isinstance(value, Measured) else reading(value)
        return self.inspections.measured(self.stored(leg, **more).id, given)

    def sent(self, value: float | Measured, leg: LegEntry | None = None) -> Try:
        return self.inspections.send(self.mechanic, self.measured(value, leg).id)

    def placed(self, try_: Try, value: float, person: Person | None = None) -> Comparison:
        """The comparison after the inspector has placed points that are `value` mm apart."""
        who = person or self.inspector
        self.inspections.place(who, try_.id, (100.0, 200.0), (101.0, 200.0 + 10 * value))
        return self.inspections.comparison(who, try_.id)

    def confirmed(
        self, value: float, leg: LegEntry | None = None, blind: float | None = None
    ) -> Confirmation:
        """A reading sent, read by the inspector (alike, where nothing is told) and signed."""
        sent = self.sent(value, leg)
        shown = self.placed(sent, value if blind is None else blind)
        return self.sign(self.inspector, shown)

    def sign(self, person: Person, shown: Comparison) -> Confirmation:
        return self.inspections.confirm(person, shown.try_.id, PASSWORD, shown.record_hash or "")

    def by_hand(self, person: Person, item: Item | str, value: float, u: float = 0.5) -> Item:
        """The item after a hand measurement."""
        id_ = item if isinstance(item, str) else item.id
        self.inspections.hand_measurement(person, id_, value, u, "steel rule 4", PASSWORD)
        return self.item(id_)

    def item(self, id_: str) -> Item:
        return self.inspections.place_of(id_).item

    def item_of(self, confirmation: Confirmation) -> Item:
        return self.inspections.comparison(self.inspector, confirmation.try_id).place.item


def open_house(where: Path | Ground) -> House:
    """The house of a folder or other ground; people, aircraft and legs are entered where it is new."""
    clock = TickingClock()
    ground = where if isinstance(where, Ground) else Ground(where)
    archive = ground.open(clock)
    people = People(archive.people, clock, session_hours=12, hasher=FAST)
    inspections = Inspections(archive.records, archive.photos, clock, TenthsPerPixel(), people)
    if not inspections.aircraft():
        people.enter("Mechanic", frozenset({Role.MECHANIC}), PASSWORD)
        people.enter("Inspector", frozenset({Role.INSPECTOR}), PASSWORD)
        people.enter("Inspector 2", frozenset({Role.INSPECTOR, Role.MECHANIC}), PASSWORD)
        new = inspections.enter_aircraft("ZZ-GWT", "Aster 210", "demo operator")
        for position, basis in (("left main", Basis.SUPPORTING), ("nose", Basis.PRIMARY)):
            inspections.enter_leg(new.id, position, leg_toml("ZZ-GWT", position), basis)
    (aircraft,) = inspections.aircraft()
    inspector, inspector_2, mechanic = sorted(people.everyone(), key=lambda one: one.name)
    supporting, primary = inspections.legs(aircraft.id)
    return House(
        ground, archive, inspections, people, clock, mechanic, inspector, inspector_2, aircraft, supporting, primary
    )  # fmt: skip


@pytest.fixture(scope="session")
def empty_home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of a house in which nothing has happened yet, to be copied."""
    home = tmp_path_factory.mktemp("house") / "home"
    open_house(home).archive.close()
    return home


@pytest.fixture
def house(tmp_path: Path, empty_home: Path) -> Iterator[House]:
    """A new house in a folder of its own; a folder's conftest.py brings both to its tests."""
    shutil.copytree(empty_home, tmp_path / "home")
    opened = open_house(tmp_path / "home")
    yield opened
    opened.archive.close()
