"""The demo: an invented aircraft and people, and three struts in three states, through the real use cases.

The photos are measured for real, one after the other while the server already
answers.  A demo that was stopped on the way goes on where it was.
"""

import logging
from dataclasses import dataclass
from pathlib import Path
from threading import Event, Thread

from app.bootstrap import demo_round
from app.errors import InspectionError, UsageError
from app.inspection import Aircraft, Basis, Inspections, Jobs, LegEntry, Person, Role, Try, TryState
from app.people import People

PASSWORD = "demo-only"
"""Of all identities; it opens nothing but a demo, on the machine where the demo runs."""

_LOG = logging.getLogger(__name__)
_MECHANIC, _BOTH = frozenset({Role.MECHANIC}), frozenset({Role.MECHANIC, Role.INSPECTOR})
_INSPECTOR = frozenset({Role.INSPECTOR})
# Two inspectors, so that what needs a third person can be tried: both at once, two hand measurements.
PEOPLE = (
    ("Mechanic", _MECHANIC),
    ("Inspector", _INSPECTOR),
    ("Inspector 2", _INSPECTOR),
    *demo_round.PEOPLE,
)
_REGISTRATION, _KIND, _OPERATOR = "ZZ-GWT", "Aster 210", "Demo operator"
_LEGS = (
    ("nose", "nose.toml", Basis.SUPPORTING),
    ("left main", "left_main.toml", Basis.PRIMARY),
    ("right main", "right_main.toml", Basis.SUPPORTING),
)
_STATEMENTS = (
    "The aircraft stands on its wheels on level ground, loaded as the leg's document asks.",
    "The strut was exercised and has settled.",
    "Brakes and chocks are as the manual says.",
)
_POLL_S = 0.1


@dataclass(frozen=True)
class Seed:
    """One photo that the mechanic has taken before the demo begins."""

    position: str
    photo: str


SEEDS = (
    Seed("left main", "reads_within/left_main_sun.jpg"),
    Seed("nose", "reads_outside/nose_low.jpg"),
    Seed("right main", "refuses/shaken.jpg"),
)
"""One within, one outside, both waiting for their confirmation, and one refused."""


class Demo:
    """Fills the demo in a thread; `names` and `password` are its identities, `progress` how far it is."""

    def __init__(
        self, images: Path, inspections: Inspections, jobs: Jobs, mechanic: Person, aircraft: Aircraft
    ) -> None:
        self._images = images
        self._inspections = inspections
        self._jobs = jobs
        self._mechanic = mechanic
        self._aircraft = aircraft
        self._done = 0
        self._complaint = ""
        self._ending = Event()
        self._thread = Thread(target=self._fill, name="demo", daemon=True)

    @property
    def names(self) -> tuple[str, ...]:
        """Whom one can sign in as."""
        return tuple(name for name, _ in PEOPLE)

    @property
    def password(self) -> str:
        """The password of them all."""
        return PASSWORD

    @property
    def progress(self) -> str:
        """How far the demo is filled, in words."""
        if self._complaint:
            return self._complaint
        return "ready" if self._done == len(SEEDS) else f"{self._done} of {len(SEEDS)} photos measured"

    def start(self) -> None:
        """Begin to fill it."""
        self._thread.start()

    def stop(self) -> None:
        """Leave off; the next start goes on."""
        self._ending.set()
        if self._thread.is_alive():
            self._thread.join()

    def wait(self, timeout_s: float) -> bool:
        """Wait until all is done or the time is over; return whether the demo is ready."""
        self._thread.join(timeout_s)
        return self.progress == "ready"

    def _fill(self) -> None:
        try:
            legs = {leg.position: leg for leg in self._inspections.legs(self._aircraft.id)}
            for seed in SEEDS:
                try:
                    if not self._sown(seed, legs[seed.position]):
                        return
                except InspectionError as error:  # somebody was faster on this leg: that is the demo too
                    _LOG.info("%s was not sown: %s", seed.photo, error)
                self._done += 1
        except Exception as error:  # the server goes on without; the sentence is on the health page
            _LOG.exception("the demo could not be filled")
            self._complaint = f"the demo could not be filled: {error}"

    def _sown(self, seed: Seed, leg: LegEntry) -> bool:
        """Have one photo measured and sent; return False where the demo ends before."""
        path = self._images / seed.photo
        this = self._earlier(leg, path.name)
        if this is None:
            this = self._inspections.begin_try(self._mechanic, leg.id, _STATEMENTS)
        if this.state is TryState.AWAITING_PHOTO:
            this = self._inspections.photo_arrived(self._mechanic, this.id, path.read_bytes(), path.name)
        self._jobs.submit(this.id)
        while this.state in (TryState.STORED, TryState.MEASURING):
            if self._ending.wait(_POLL_S):
                return False
            this = self._inspections.try_of(self._mechanic, this.id)
        if this.state is TryState.FAILED:
            msg = f"{seed.photo} could not be measured: {this.failure}"
            raise UsageError(msg)
        self._inspections.send(self._mechanic, this.id)
        return True

    def _earlier(self, leg: LegEntry, name: str) -> Try | None:
        """Return the try of this seed that an earlier start has begun, if there is one."""
        for inspection in self._inspections.inspections():
            for item in self._inspections.items(inspection.id):
                if item.leg_id != leg.id:
                    continue
                story = self._inspections.item_story(self._mechanic, item.id)
                for _, entry in story.entries:
                    if isinstance(entry, Try) and entry.photo_name == name:
                        return entry
        return None


def open_demo(images: Path, inspections: Inspections, people: People, jobs: Jobs) -> Demo:
    """Enter people, aircraft and legs where they are not yet, and return the demo, not yet filled.

    Raises
    ------
    UsageError
        A leg's data or a photo is missing from the folder.
    """
    legs = [(position, _text(images / "legs" / name), basis) for position, name, basis in _LEGS]
    for seed in SEEDS:
        _require(images / seed.photo)
    there = {person.name: person for person in people.everyone()}
    for name, roles in PEOPLE:
        if name not in there:
            there[name] = people.enter(name, roles, PASSWORD)
    entered_before = (one for one in inspections.aircraft() if one.registration == _REGISTRATION)
    aircraft = next(entered_before, None) or inspections.enter_aircraft(_REGISTRATION, _KIND, _OPERATOR)
    entered = {leg.position for leg in inspections.legs(aircraft.id)}
    for position, toml, basis in legs:
        if position not in entered:
            inspections.enter_leg(aircraft.id, position, toml, basis)
    other = [
        (position, toml.replace(_REGISTRATION, demo_round.REGISTRATION), basis)
        for position, toml, basis in legs
    ]
    demo_round.furnish(inspections, there, _KIND, _OPERATOR, other)
    return Demo(images, inspections, jobs, there[PEOPLE[0][0]], aircraft)


def _text(path: Path) -> str:
    _require(path)
    return path.read_text(encoding="utf-8")


def _require(path: Path) -> None:
    if not path.is_file():
        msg = f"{path} is missing: the demo needs the folder demo_images of the project as it is in a clone"
        raise UsageError(msg)
