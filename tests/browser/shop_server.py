"""`gearwitness serve` on an archive that a shop has set up: an aircraft that follows a programme, and its people."""

import json
import socket
import subprocess
import time
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from app.archive import open_archive
from app.inspection import Basis, Inspections, Role, SystemClock
from app.inspection.rounds.model import ALL_CLASSES
from app.people import People
from tests.app.cli_files import process
from tests.app.records_house import FAST, PASSWORD, TenthsPerPixel, leg_toml

__all__ = ["PASSWORD", "ShopServer"]
LEGS = ("left main", "nose", "right main")
PEOPLE = {
    "Mechanic": Role.MECHANIC,
    "Mechanic 2": Role.MECHANIC,
    "Inspector": Role.INSPECTOR,
    "Required inspector": Role.REQUIRED_INSPECTION,
    "NDI technician": Role.NDI_TECHNICIAN,
    "Signatory": Role.AUTHORISED_SIGNATORY,
}
PATIENCE_S = 60
DEMO_LEGS = Path(__file__).resolve().parents[2] / "demo_images" / "legs"


def set_up(home: Path, programme: str, legs: tuple[str, ...] = LEGS, *, demo_legs: bool = False) -> None:
    """Enter people, aircraft, legs and programme, through the use cases; `demo_legs` fit the demo's photos."""
    clock = SystemClock()
    with open_archive(home, clock) as archive:
        people = People(archive.people, clock, session_hours=12, hasher=FAST)
        use = Inspections(archive.records, archive.photos, clock, TenthsPerPixel(), people)
        administrator = people.enter("Administrator", frozenset({Role.ADMINISTRATOR}), PASSWORD)
        today = datetime.now(UTC).date()
        for name, role in PEOPLE.items():
            person = people.enter(name, frozenset({role}), PASSWORD)
            use.enter_certificate(administrator, person.id, role.value.replace("_", " "), f"N-{len(name)}")
            if role is not Role.MECHANIC:
                use.authorise(administrator, person.id, role, ALL_CLASSES, today, today + timedelta(days=300))
        aircraft = use.enter_aircraft("ZZ-GWT", "Aster 210", "Demo operator")
        for position in legs:
            demo = DEMO_LEGS / f"{position.replace(' ', '_')}.toml"
            toml = demo.read_text(encoding="utf-8") if demo_legs else leg_toml("ZZ-GWT", position)
            use.enter_leg(aircraft.id, position, toml, Basis.PRIMARY)
        use.follow(administrator, aircraft.id, use.enter_programme(administrator, programme, "shop.toml").id)
        ends = date(today.year + 1, 1, 1)
        use.enter_instrument(administrator, "tire gauge", "G-1", "pressure", "psi", 0.5, ends)


class ShopServer:
    """The server on a folder; `settings` are environment variables beside it."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self.settings: dict[str, str] = {}
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.url = f"http://127.0.0.1:{self.port}"
        self._child: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start it, and wait until it answers."""
        log = self.home.parent / f"{self.home.name}.log"
        with log.open("a", encoding="utf-8") as out:
            self._child = process(
                ["serve", "--home", self.home, "--port", self.port],
                self.home.parent,
                env=self.settings,
                stdout=out,
                stderr=subprocess.STDOUT,
            )
        patience = time.monotonic() + PATIENCE_S
        while time.monotonic() < patience:
            assert self._child.poll() is None, log.read_text(encoding="utf-8")
            try:
                with urlopen(f"{self.url}/healthz", timeout=5) as answer:
                    json.load(answer)
                    return
            except (URLError, ConnectionError, TimeoutError):
                time.sleep(0.1)
        raise AssertionError(log.read_text(encoding="utf-8"))

    def kill(self) -> None:
        """End it."""
        if self._child is not None:
            self._child.kill()
            self._child.wait()
            self._child = None
