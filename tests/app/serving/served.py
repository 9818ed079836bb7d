"""The routes and the gate before a records house, without Streamlit, asked as a browser asks."""

from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.testclient import TestClient

from app.bootstrap import House
from app.inspection.ports import Jobs
from app.serving.routes import HANDLERS, layers, routes
from app.settings import Settings
from tests.app import records_house
from tests.scenes.photo_files import encoded, smooth_picture

HOST = "127.0.0.1:8501"
HERE = {"origin": f"http://{HOST}"}
PHOTO = encoded(smooth_picture(400, 300))
OTHER_PHOTO = encoded(smooth_picture(400, 300, seed=12))


class Submitted(Jobs):
    def __init__(self) -> None:
        self.ids: list[str] = []

    def submit(self, try_id: str) -> None:
        self.ids.append(try_id)


@dataclass
class DemoOfTests:
    names: tuple[str, ...] = ("Mechanic", "Inspector")
    password: str = records_house.PASSWORD
    progress: str = "1 of 3 photos measured"


@dataclass
class Served:
    """A house served; `submitted` are the tries that the routes had measured."""

    house: records_house.House
    home: Path
    settings: Settings
    submitted: Submitted = field(default_factory=Submitted)
    demo: Any = None

    @property
    def asgi(self) -> Starlette:
        """The application, as asgi.py puts it together."""
        house = House(
            self.settings,
            self.house.archive,
            self.house.inspections,
            self.house.people,
            self.submitted,  # type: ignore[arg-type]
            self.demo,
        )
        return Starlette(routes=routes(house), middleware=layers(house), exception_handlers=HANDLERS)

    def with_settings(self, **changed: Any) -> "Served":
        return replace(self, settings=replace(self.settings, **changed))

    def browser(self, name: str = "") -> TestClient:
        """A browser, signed in where a name is given; it says on every request where it comes from."""
        client = TestClient(self.asgi, f"http://{HOST}", follow_redirects=False, headers=HERE)
        if name:
            answer = client.post("/sign-in", data={"name": name, "password": records_house.PASSWORD})
            assert answer.status_code == 303
        return client

    def draft(self) -> str:
        """The id of a try of the mechanic that waits for its photo."""
        inspections, leg = self.house.inspections, self.house.primary
        return inspections.begin_try(self.house.mechanic, leg.id, records_house.STATED).id


@pytest.fixture
def served(house: records_house.House) -> Served:
    """A new house, served."""
    return Served(house, house.home, Settings(house.home))
