"""A second photo of a hose in the browser: a mirrored light is set aside, true wear stays and is judged."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.chromium import PHONE
from tests.browser.shop_server import ShopServer
from tests.browser.test_hose import DIRT, HOSE, SEARCHED_WITHIN_MS, Judge, hose_shop
from tests.browser.test_two_people import axe
from tests.vision.hose.drawn import HEIGHT, WIDTH, hose_jpeg, middle

__all__ = ["axe"]
SPOT, GLINT, MOVED_PX = (700.0, 0.2), 1000.0, 400.0
OFFER = "May be a reflection? Take a second photo"


def along(shift: float = 0.0) -> list[tuple[float, float]]:
    return [(float(x), float(round(float(middle(x + shift))))) for x in range(60, 1350, 320)]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[tuple[ShopServer, str, str]]:
    yield from hose_shop(tmp_path / "home", HOSE.format(diameter=15.0, cover="rubber"))


def shown(judge: Judge, photo: Path, shift: float, press: str) -> None:
    """Hand a photo over and show the hose along it."""
    judge.person.hand_over(photo)
    judge.person.sees("Show the hoses on the photo")
    judge.settled()
    judge.person.place_some(along(shift), (WIDTH, HEIGHT))
    judge.press("Use these places")
    judge.press(press)


def test_a_mirrored_light_is_set_aside_by_a_second_photo_and_wear_is_not(
    chromium: Any, axe: Any, shop: tuple[ShopServer, str, str], tmp_path: Path
) -> None:
    server, visit, item = shop
    first, near, second = (tmp_path / name for name in ("first.jpg", "near.jpg", "second.jpg"))
    first.write_bytes(hose_jpeg(spot=SPOT, glint=GLINT))
    near.write_bytes(hose_jpeg(1, spot=SPOT, glint=GLINT))
    # The hose moves by 400 px = 100 mm, the mirrored light by a third of that.
    second.write_bytes(hose_jpeg(spot=SPOT, glint=870.0, shift=MOVED_PX))
    judge = Judge(chromium, server, "Mechanic", PHONE, "dark", axe)
    judge.open(f"/visit?visit={visit}&item={item}")
    judge.person.fill("From which side the photo shows them", "front")
    judge.onward("Go on to the photo")
    shown(judge, first, 0.0, "Search this hose")
    judge.person.sees("What do you see yourself?")
    judge.press("I see none on the bare photo")
    judge.wait_searched()
    flags = judge.places()
    judge.page("pair-offered", OFFER)
    judge.onward(OFFER)
    judge.page("pair-offer", "Move the phone 100 mm or more along the hose")
    judge.onward("Take the second photo")
    judge.page("pair-photo", "A flash does not replace the move")
    shown(judge, near, 0.0, "Compare with photo 1")
    judge.person.page.get_by_text("Not compared").first.wait_for(timeout=SEARCHED_WITHIN_MS)
    judge.settled()
    judge.page("pair-refused", "Move the phone by 100 mm or more along the hose")
    judge.onward("Take the second photo again")
    judge.onward("Take the second photo")
    shown(judge, second, MOVED_PX, "Compare with photo 1")
    judge.person.page.get_by_text("Set aside by the second photo: 1").first.wait_for(
        timeout=SEARCHED_WITHIN_MS
    )
    judge.settled()
    judge.page("pair-compared", "light mirrored in it")
    judge.onward("Go on")
    assert judge.places() == flags - 1
    judge.person.does_not_see(OFFER)
    judge.onward(DIRT)
    assert judge.faults == [] and judge.person.faults == []
