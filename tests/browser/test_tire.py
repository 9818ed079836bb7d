"""A tire's line in the browser: told cold and whole, photographed, entered; placed blind, compared, signed."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from app.archive import open_archive
from app.inspection import Basis, Inspections, Item, ItemState, Person, SystemClock
from app.inspection.rounds.given import Gauge
from app.people import People
from app.programme import ItemCondition
from tests.app.records_house import FAST, TenthsPerPixel
from tests.app.rounds_house import ON_WHEELS
from tests.app.tire_house import LEG, PSI, TIRE_PROGRAMME
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.shop_server import ShopServer, set_up
from tests.browser.test_two_people import axe
from tests.browser.worker import Worker
from tests.scenes.wheel_photo import wheel_jpeg
from tests.scenes.wheel_scene import WheelScene, clock_direction, project, sidewall_depth

__all__ = ["axe"]
SCENE = WheelScene(
    width_px=2000, height_px=1500, focal_px=2400.0, tilt_deg=9.0, pitch_deg=2.0, roll_deg=3.0, clutter=3, rib=0.75,
    contact_bulge=0.12, line_angle_deg=1.0, line_width_mm=4.0, line_length_mm=110.0, creep_deg=1.0, seed=5,
)  # fmt: skip
MEASURED_WITHIN_MS = 60_000


def line_ends() -> list[tuple[float, float]]:
    """Where the scene's line ends in its photo, to whole px: what a steady hand gives."""
    angle = np.radians(SCENE.line_angle_deg or 0.0)
    radius = SCENE.flange_radius + SCENE.line_radius * (SCENE.outside_diameter_mm / 2 - SCENE.flange_radius)
    run = SCENE.line_length_mm / 2 * np.array([np.cos(angle), -np.sin(angle)])
    xy = radius * clock_direction(SCENE.line_clock_deg) + np.array([-run, run])
    z = sidewall_depth(SCENE, xy[:, 0], xy[:, 1])
    return [(float(round(x)), float(round(y))) for x, y in project(SCENE, np.column_stack([xy, z]))]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[tuple[ShopServer, str, str]]:
    """A server whose visit is opened and stated and whose tire's gauge is read; with the visit and the line."""
    home = tmp_path / "home"
    set_up(home, TIRE_PROGRAMME, legs=())
    clock = SystemClock()
    with open_archive(home, clock) as archive:
        people = People(archive.people, clock, session_hours=12, hasher=FAST)
        use = Inspections(archive.records, archive.photos, clock, TenthsPerPixel(), people)
        who: dict[str, Person] = {one.name: one for one in people.everyone()}
        (craft,) = use.aircraft()
        toml = LEG.format(registration="ZZ-GWT", line="pressure line", state="loaded", more="")
        leg = use.enter_leg(craft.id, "tail", toml, Basis.PRIMARY)
        use.answer_features(None, leg.id, {"wheels": "one"})
        visit = use.open_inspection(who["Mechanic"], craft.id)
        for name in ("Mechanic", "Inspector"):
            use.state_opening(who[name], visit.id)
        use.state_condition(who["Mechanic"], visit.id, ItemCondition.ON_WHEELS, ON_WHEELS)
        items = {one.key: one.id for one in use.items(visit.id)}
        (tool,) = use.instruments()
        read = Gauge((490 / PSI,), "psi", tool.id, state="loaded", temperature_c=15.0)
        use.answer(who["Mechanic"], items["tire_pressure"], read)
    server = ShopServer(home)
    server.start()
    yield server, visit.id, items["tire_line"]
    server.kill()


def test_a_tires_line_by_two_people(
    chromium: Any, axe: Any, shop: tuple[ShopServer, str, str], tmp_path: Path
) -> None:
    server, visit, item = shop
    photo = tmp_path / "tire.jpg"
    photo.write_bytes(wheel_jpeg(SCENE))
    mechanic = Worker(chromium, server, "Mechanic", PHONE, "light", axe)
    mechanic.person.go(f"/visit?visit={visit}&item={item}")
    mechanic.page("tire-told-first", "By eye at the wheel, is the line parallel to the ground?")
    fields = mechanic.person.page.locator(".stNumberInput input")
    fields.nth(0).fill("5")
    fields.nth(1).fill("3")
    mechanic.person.page.locator(".stCheckbox label").first.click()
    mechanic.person.page.locator(".stRadio label").filter(has_text="It is").first.click()
    mechanic.onward("Go on to the photo")
    mechanic.person.sees("square to the wheel")
    mechanic.person.hand_over(photo)
    mechanic.person.page.get_by_role("button", name="Enter the photo's reading").wait_for(
        timeout=MEASURED_WITHIN_MS
    )
    mechanic.page("tire-reading", "Line parallel to the ground")
    assert "Yes" in mechanic.person.words()
    mechanic.onward("Enter the photo's reading")
    mechanic.person.go(f"/visit?visit={visit}&step=sign")
    mechanic.person.sees("read on its photo")
    mechanic.sign("Sign 2 answers")
    mechanic.person.sees("Nothing waits for your signature.")

    inspector = Worker(chromium, server, "Inspector", DESKTOP, "dark", axe)
    inspector.person.go(f"/visit?visit={visit}&look={item}")
    inspector.page("tire-bare", "Place the two ends of the line")
    assert "1.0°" not in inspector.person.words() and "parallel to the ground" not in inspector.person.words()
    for mark, (x, y) in enumerate(line_ends()):
        inspector.person.place(mark, x, y)
    inspector.press("Use these places")
    inspector.onward("Store my reading")
    inspector.page("tire-side-by-side", "Both agree: the item closes.")
    assert "placed on the bare photo" in inspector.person.words()
    inspector.sign("Sign 1 second looks")
    inspector.person.sees("To look at")
    with open_archive(server.home, SystemClock()) as archive, archive.records.look() as r:
        assert r.get(Item, item).state is ItemState.CLOSED
    assert mechanic.faults == [] and inspector.faults == []
    assert mechanic.person.faults == [] and inspector.person.faults == []
