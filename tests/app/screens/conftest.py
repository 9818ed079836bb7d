import gc
from collections.abc import Iterator
from functools import cache

import pytest
from streamlit.components.v2 import manifest_scanner
from streamlit.components.v2.manifest_scanner import scan_component_manifests
from streamlit.testing.v1 import AppTest

from app import bootstrap
from app.inspection import Person
from app.screens import here
from tests.app.records_house import PASSWORD, House, empty_home, house
from tests.app.screens.looking import Open

__all__ = ["empty_home", "house"]
PHOTO_SIZE = (3024, 4032)


def script(opening: str) -> None:
    from app.screens.entry import run  # noqa: PLC0415 - this function's text is the script

    run(opening)


@pytest.fixture(scope="session", autouse=True)
def as_started() -> Iterator[None]:
    """Once for all tests what a server does once, as it starts: look which packages bring components, set aside."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(manifest_scanner, "scan_component_manifests", cache(scan_component_manifests))
        gc.collect()
        gc.freeze()  # as app/asgi.py
        yield


@pytest.fixture
def open_page(house: House, monkeypatch: pytest.MonkeyPatch) -> Iterator[Open]:
    """Open a page as a person: ``open_page("confirm", house.inspector, **{"try": id})``."""
    before = list(bootstrap._IN_USE)
    bootstrap.use(house)  # type: ignore[arg-type]
    # The photos of these tests are a few letters, whose pieces nobody looks at.
    monkeypatch.setattr(here, "facts", lambda data: PHOTO_SIZE)
    here._size.clear()

    def opened(page: str, person: Person | None, **query: str) -> AppTest:
        token = house.people.sign_in(person.name, PASSWORD) if person else "nobody's"
        monkeypatch.setattr("app.screens.entry.token", lambda: token)
        app = AppTest.from_function(script, kwargs={"opening": page}, default_timeout=20)
        for name, value in query.items():
            app.query_params[name] = value
        return app.run()

    yield opened
    here._size.clear()
    bootstrap._IN_USE[:] = before
