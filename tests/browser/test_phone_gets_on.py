"""A phone gets on by the code at the desk, over TLS; shut out, its open page ends.  Looked at and measured."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import zxingcpp

from tests.app.records_house import PASSWORD
from tests.app.serving.lan.lan_server import ADDRESSES, LanServer, serving_lan
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.person import SCREENSHOTS
from tests.browser.test_two_people import axe

__all__ = ["axe"]
pytestmark = pytest.mark.skipif(not ADDRESSES, reason="this machine is in no network")
SMALL = """least => [...document.querySelectorAll('button, input:not([type=hidden])')]
    .filter(e => e.getBoundingClientRect().height < least).map(e => e.outerHTML)"""


@pytest.fixture
def lan(tmp_path: Path) -> Iterator[LanServer]:
    with serving_lan(tmp_path) as server:
        yield server


def open_page(browser: Any, kind: dict[str, Any], theme: str) -> Any:
    # As a person does who has compared the fingerprint.
    context = browser.new_context(**kind, color_scheme=theme, ignore_https_errors=True)
    page = context.new_page()
    page.set_default_timeout(30_000)
    return page


def looked_at(page: Any, axe: Any, name: str) -> list[str]:
    if SCREENSHOTS is not None:
        page.screenshot(path=str(Path(SCREENSHOTS) / f"{name}.png"), full_page=True)
    faults = [f"too small: {one}" for one in page.evaluate(SMALL, 44)]
    wide = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    faults += [f"{wide} px too wide"] if wide > 0 else []
    found = axe.run(page)["violations"]
    return faults + [f"{one['id']}: {node['html'][:200]}" for one in found for node in one["nodes"]]


def scanned(desk: Any) -> str:
    """What a camera reads in the code on the desk's page.

    Not by OpenCV's reader: of 400 clean codes of such addresses it read nothing in 7, this one all.
    """
    picture = cv2.imdecode(np.frombuffer(desk.locator("svg.qr").screenshot(), np.uint8), cv2.IMREAD_GRAYSCALE)
    return next((code.text for code in zxingcpp.read_barcodes(picture)), "")


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_a_phone_scans_the_code_works_and_is_shut_out(
    chromium: Any, lan: LanServer, axe: Any, theme: str
) -> None:
    desk, phone = open_page(chromium, DESKTOP, theme), open_page(chromium, PHONE, theme)
    phone.goto(f"{lan.url}/")
    assert "/pair" in phone.url
    faults = looked_at(phone, axe, f"pair-{theme}-unknown")

    desk.goto(f"{lan.desk}/devices")
    desk.get_by_label("Name", exact=True).fill("Inspector")
    desk.get_by_label("Password", exact=True).fill(PASSWORD)
    desk.get_by_role("button", name="Sign in", exact=True).click()
    desk.get_by_role("button", name="Register a phone").click()
    desk.get_by_text("Register a phone now").wait_for()
    faults += looked_at(desk, axe, f"devices-{theme}-code")
    address = scanned(desk)
    assert re.fullmatch(re.escape(f"{lan.url}/pair?code=") + "[2-9A-Z]{10}", address)

    phone.goto(address)
    phone.get_by_label("What this phone is called").fill("Hangar phone 2")
    phone.get_by_label("Your name").fill("Inspector")
    phone.get_by_label("Password", exact=True).fill(PASSWORD)
    faults += looked_at(phone, axe, f"pair-{theme}-scanned")
    phone.get_by_role("button", name="Register this phone").click()
    phone.locator(".gw-block").first.wait_for()
    cookies = {one["name"]: one for one in phone.context.cookies()}
    assert all(cookies[name]["secure"] and cookies[name]["httpOnly"] for name in ("gw_device", "gw_session"))

    desk.goto(f"{lan.desk}/devices")
    desk.get_by_text("Hangar phone 2").first.wait_for()
    faults += looked_at(desk, axe, f"devices-{theme}-list")
    desk.get_by_role("button", name="Shut out Hangar phone 2").click()
    desk.get_by_text("shut out by Inspector").wait_for()
    # The page that is open on the phone shows nothing more: its websocket is hung up, and a reload leads out.
    phone.reload()
    phone.get_by_text("This phone or tablet is not registered yet").wait_for()
    assert faults == []
    for page in (desk, phone):
        page.context.close()
