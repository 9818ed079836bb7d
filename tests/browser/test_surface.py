"""A surface in the browser: photographed beside the eye, shown, searched, judged, inspected by hand, entered.

The same way as a hose's (`test_hose`); the second person judges alone and looks at the aircraft himself.
"""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from app.archive import open_archive
from app.inspection import Inspections, Item, ItemState, SystemClock
from app.inspection.rounds.model import Finding
from app.people import People
from tests.app.records_house import FAST, TenthsPerPixel
from tests.app.surface_house import SURFACE_PROGRAMME
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.shop_server import ShopServer
from tests.browser.test_hose import CAUTION, HOSE, Judge, hose_shop
from tests.browser.test_two_people import axe
from tests.scenes.surface import HEIGHT, WIDTH, SurfaceCase, surface_case

__all__ = ["axe"]
SEED = 60
"""Flat paint with two marks, a gap, drops and a label."""
PROGRAMME = SURFACE_PROGRAMME.replace("[[feature]]", f"{CAUTION}[[feature]]", 1).replace(
    'searches = ["surface"]', 'searches = ["surface"]\ncautions = ["pressure_lines"]'
)
SURFACE_DIRT = "Dirt: lies on the surface; wipe it and look"
SURFACE_REFLECTION = "Reflection: a light or a shadow on a sound surface"


@pytest.fixture(scope="module")
def drawn() -> SurfaceCase:
    return surface_case(SEED)


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[tuple[ShopServer, str, str]]:
    """A server whose visit is opened and stated; with the visit and the surface's item."""
    hose = HOSE.format(diameter=12.7, cover="rubber")
    yield from hose_shop(tmp_path / "home", hose, PROGRAMME, "wheel_well")


def photographed(mechanic: Judge, photo: Path, drawn: SurfaceCase) -> None:
    """From the item's page, which can be answered at once, to the photo whose region is shown and searched."""
    assert mechanic.buttons("Nothing wrong") == 1
    mechanic.person.unfold("Beside the eye: have a photo of a surface searched")
    mechanic.page_once("surface-begin")
    mechanic.person.fill("Which surface the photo shows, and from where", "left wall, from below")
    mechanic.onward("Go on to the photo")
    mechanic.person.sees("Square to the surface")
    mechanic.page_once("surface-photo")
    mechanic.person.hand_over(photo)
    mechanic.person.sees("Show the surface on the photo")
    mechanic.settled()
    (x0, y0), _, (x1, y1), _ = drawn.region_px
    mechanic.person.place_some([(round(x0), round(y0)), (round(x1), round(y1))], (WIDTH, HEIGHT))
    mechanic.page_once("surface-shown")
    mechanic.person.reload()  # the corners are kept in the browser
    mechanic.press("Use these places")
    mechanic.person.sees("two opposite corners")
    mechanic.page_once("surface-region")
    mechanic.press("Search this region")


def marked(mechanic: Judge, drawn: SurfaceCase) -> None:
    """The bare photo with one own mark, before anything of the search is shown."""
    mechanic.page("surface-mark", "What do you see yourself?")
    assert "Place 1" not in mechanic.person.words()
    x, y = (round(one) for one in drawn.marks[0].middle_px)
    mechanic.person.place_some([(x, y)], (WIDTH, HEIGHT))
    mechanic.press("Use these places")
    mechanic.person.fill("What you see at 1 (may be left out)", "rubbed dull")
    mechanic.press("Store my marks")
    mechanic.wait_searched()


def judged(mechanic: Judge) -> None:
    """Every place, one by one; nothing can be entered meanwhile, and something set aside is brought back."""
    count = mechanic.places()
    assert count >= 3
    mechanic.page("surface-place", "Place 1 of")
    mechanic.locked("not looked at")
    for number in range(1, count):
        mechanic.judge((SURFACE_DIRT, SURFACE_REFLECTION)[number % 2])
    mechanic.locked("not judged")
    mechanic.onward(SURFACE_DIRT)
    mechanic.page("surface-aside", "Set aside by the search")
    mechanic.onward("Bring back 1")
    mechanic.person.sees(f"Place {count + 1} of {count + 1}")
    mechanic.onward(SURFACE_REFLECTION)
    mechanic.left_aside()


def looked_at_by_hand(person: Judge, page: str) -> None:
    """Hand, mirror and light, which no photo replaces."""
    person.page(page, "By hand, with light and mirror")
    person.person.fill("How", "wiped, felt, lit from two sides")
    person.press("Enter what hand, light and mirror found")
    person.person.sees("Say what you found on all of it")
    person.nothing_wrong()
    person.press("Enter what hand, light and mirror found")
    person.onward("Go on")


def not_searched(mechanic: Judge) -> None:
    """What was not searched, acknowledged one by one."""
    mechanic.locked("say how what the photos did not search of it was inspected", "by hand, mirror and light")
    mechanic.page("surface-cover", "What was not searched")
    mechanic.person.fill("How", "light held flat")
    mechanic.nothing_wrong()
    mechanic.press("Acknowledge for the surface")
    mechanic.person.sees("is not ticked")
    mechanic.person.tick_all()
    mechanic.press("Acknowledge for the surface")
    mechanic.person.sees("Inspected instead:")
    mechanic.locked("by hand, mirror and light")
    mechanic.onward("Go on")


def by_another_hand(server: ShopServer, visit: str, item: str, finding: Finding, words: str) -> None:
    """Another worker beside the photos, who enters what he found there and answers nothing."""
    clock = SystemClock()
    with open_archive(server.home, clock) as archive:
        people = People(archive.people, clock, session_hours=12, hasher=FAST)
        use = Inspections(archive.records, archive.photos, clock, TenthsPerPixel(), people)
        (who,) = (one for one in people.everyone() if one.name == "Mechanic 2")
        use.state_opening(who, visit)
        use.acknowledge(who, item, "", "felt all over", finding, words)


def judged_again(inspector: Judge) -> None:
    """The second person on the same photo, and at the aircraft."""
    inspector.judges_again(
        "surface", "Then you look at the aircraft yourself", "rubbed dull", SURFACE_REFLECTION
    )
    looked_at_by_hand(inspector, "surface-second-hand")
    inspector.page("surface-second-store", "Store your judgements")
    inspector.onward("Store: it is not changed afterwards")


def test_a_surface_by_two_people(
    chromium: Any, axe: Any, shop: tuple[ShopServer, str, str], drawn: SurfaceCase, tmp_path: Path
) -> None:
    server, visit, item = shop
    photo = tmp_path / "surface.jpg"
    photo.write_bytes(drawn.photo_bytes)
    mechanic = Judge(chromium, server, "Mechanic", PHONE, "light", axe)
    mechanic.open(f"/visit?visit={visit}&item={item}")
    mechanic.page("surface-item", "Nothing wrong")
    photographed(mechanic, photo, drawn)
    marked(mechanic, drawn)
    judged(mechanic)
    not_searched(mechanic)
    looked_at_by_hand(mechanic, "surface-hand")
    by_another_hand(server, visit, item, Finding.FAULT, "a deep scratch beside the label")
    mechanic.person.reload()
    mechanic.page("surface-enter-other", "a deep scratch beside the label")
    mechanic.press("Enter: a discrepancy is opened")
    mechanic.person.sees("say whether it is wear or fluid")
    by_another_hand(server, visit, item, Finding.GOOD, "a smear, wiped off")
    mechanic.person.reload()
    mechanic.page("surface-enter", "Enter what was found")
    mechanic.onward("Enter what was found")
    mechanic.person.go(f"/visit?visit={visit}&step=sign")
    mechanic.page("surface-sign", "Nothing that needs action was found on what was searched")
    assert "no wear" not in mechanic.person.words().lower()
    mechanic.sign("Sign 1 answers")
    mechanic.person.sees("Nothing waits for your signature.")

    inspector = Judge(chromium, server, "Inspector", DESKTOP, "dark", axe)
    inspector.open(f"/visit?visit={visit}&look={item}")
    judged_again(inspector)
    inspector.page("surface-side-by-side", "Both agree: the item closes.")
    inspector.sign("Sign 1 second looks")
    inspector.person.sees("To look at")
    with open_archive(server.home, SystemClock()) as archive, archive.records.look() as r:
        assert r.get(Item, item).state is ItemState.CLOSED
    assert mechanic.faults == [] and inspector.faults == []
    assert mechanic.person.faults == [] and inspector.person.faults == []
