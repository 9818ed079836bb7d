"""Practice in a browser: read first, then the machine's value, scored at once, and nothing of it in a record."""

from collections.abc import Iterator
from typing import Any

import pytest

from app.archive import open_archive
from app.bootstrap.demo import SEEDS
from app.practice import Case, Practice, cases
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.demo_server import DemoServer
from tests.browser.person import Person
from tests.browser.test_two_people import axe, demo, filled

__all__ = ["axe", "demo", "filled"]


@pytest.fixture(params=[(PHONE, "light"), (DESKTOP, "dark")], ids=["phone", "desktop"])
def person(request: pytest.FixtureRequest, chromium: Any, demo: DemoServer) -> Iterator[Person]:
    screen, theme = request.param
    found = Person(chromium, demo.url, "Inspector 2", screen, theme)
    yield found
    found.context.close()


def case_of(demo: DemoServer) -> tuple[Case, str]:
    """The case whose turn it is, and the head of the archive's chain."""
    with open_archive(demo.home) as archive:
        who = next(one for one in archive.people.everyone() if one.name == "Inspector 2")
        found = Practice(archive.practice).next_case(who.id)
        assert found is not None
        return found, archive.head().hash


def test_a_case_is_read_answered_and_scored_and_enters_no_record(
    person: Person, demo: DemoServer, axe: Any
) -> None:
    case, before = case_of(demo)
    person.go("/guide?chapter=sure")
    person.page.get_by_text("Practise on rendered scenes").last.click()
    person.sees("Read it yourself first")
    person.page.locator(".mark").first.wait_for()
    person.settled()
    person.look("practice")
    faults = [*person.axe(axe), *person.small_targets()]
    assert person.sideways() <= 0
    for mark, end in enumerate((case.from_px, case.to_px)):
        person.place(mark, *end)
    person.press("Use these places")
    person.sees("A machine says")
    person.look("practice-machine")
    person.press("It stands")
    person.sees("Truth of the scene")
    person.reload()
    person.sees("Truth of the scene")
    person.settled()
    person.look("practice-scored")
    faults += [*person.axe(axe), *person.small_targets(), *person.faults]
    if case.is_usable:
        person.sees("a hit")
    person.press("Next case")
    person.sees("Read it yourself first")
    later, after = case_of(demo)
    assert later != case
    assert after == before
    with open_archive(demo.home) as archive:
        assert not any(archive.photos.has(one.sha) for one in cases() if one.name == case.name) or _is_seed(
            case
        )
        assert archive.verify().faults == ()
    assert faults == []


def _is_seed(case: Case) -> bool:
    """The demo itself begins with three of these photos."""
    return any(seed.photo.endswith(f"/{case.name}.jpg") for seed in SEEDS)
