"""A whole visit in a real browser: two shifts, six people, three legs, from the first card to the sign-off."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from app.archive import open_archive
from tests.app.rounds_house import programme
from tests.browser.act_in_visit import act
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.person import IMAGES
from tests.browser.photo_of_today import of_today
from tests.browser.shop_server import PASSWORD, ShopServer, set_up
from tests.browser.strut_in_visit import SERVICED, STRUT_FOUND, strut_outside, struts
from tests.browser.test_two_people import axe
from tests.browser.worker import Worker

__all__ = ["axe"]


@pytest.fixture
def shop(tmp_path: Path) -> Iterator[ShopServer]:
    items = programme("hoses", "bolts", "cracks", "locks", "closed", strut=True)
    set_up(tmp_path / "home", items, demo_legs=True)
    server = ShopServer(tmp_path / "home")
    server.start()
    yield server
    server.kill()


def first_shift(one: Worker) -> None:
    """The mechanic opens the visit and goes round: a worn hose, one count over, what may be a crack."""
    one.enter("Open a visit")
    one.person.sees("Before anything else")
    one.begin()
    one.state("On its wheels", Load_and_fuel="in the range, 90 l", Slope="0.1 degree")
    one.page("hub", "In this visit")
    one.step("open")
    one.person.fill("Name or number", "3")
    one.press("Count out")
    one.person.sees("1 of 1 out")
    one.page("out", "1 of 1 out")
    one.walk(0)
    one.page("leg", "Round of the left main leg")
    struts(one)
    one.walk(0)
    one.onward("Go on: Hoses")
    one.page("item", "Nothing wrong")
    one.person.unfold("Something is wrong")
    one.person.fill("What is wrong", "rubbed through to the braid at the clamp")
    one.person.fill("Where exactly", "brake hose, lower clamp")
    one.page_once("item-fault")
    one.onward("Open a discrepancy")
    one.person.sees("Bolts")
    one.page("item-count", "Enter this count")
    one.count(5)
    one.person.sees("Cracks")
    one.onward("Nothing wrong")
    for leg, crack in ((1, True), (2, False)):
        one.walk(leg)
        one.onward("Go on: Hoses")
        one.onward("Nothing wrong")
        one.person.sees("Enter this count")
        one.count(6)
        one.person.sees("Cracks")
        if crack:
            one.person.unfold("Something is wrong")
            one.person.fill("What is wrong", "a line in the paint of the upper lug")
            one.onward("Open a discrepancy")
        else:
            one.onward("Nothing wrong")
        one.person.sees("Round of the")
    one.step("sign")
    one.page("sign", "Sign your answers")
    one.sign("Sign 9 answers")
    one.person.sees("Nothing waits for your signature.")


def over_to(one: Worker, other: Worker) -> None:
    """The shift ends mid-round."""
    one.step("handover")
    one.person.choose("To whom", "Mechanic 2")
    one.person.settled()
    one.page_once("handover")
    one.sign("Hand over to Mechanic 2")
    one.person.sees("has not signed yet")
    other.begin()
    other.step("handover")
    other.page("takeover", "hands this over to you")
    other.sign("Take it over")
    other.person.sees("To whom")


def look_at_all(one: Worker, count: int, label: str) -> None:
    """The second person answers everything that waits, then signs."""
    one.step("second")
    one.page(f"second-{label}", "Look a second time")
    for number in range(count):
        if number == 0:
            one.person.page.locator("[class*=st-key-look-] button").first.click()
            one.taps += 1
        one.person.settled()
        one.person.page.get_by_text("Second look ·").wait_for()
        if one.person.page.get_by_role("button", name="Enter this count").count():
            one.count(6)
        else:
            one.onward("Nothing wrong")
    one.person.sees("Looked at, to be signed")
    one.page(f"looked-{label}", "Both agree: the item closes.")
    one.sign(f"Sign {count} second looks")
    one.person.sees("Nothing waits for you.")


def test_a_whole_visit_goes_from_the_first_card_to_the_sign_off(
    chromium: Any, shop: ShopServer, axe: Any, tmp_path: Path
) -> None:
    one = Worker(chromium, shop, "Mechanic", PHONE, "light", axe)
    first_shift(one)
    two = Worker(chromium, shop, "Mechanic 2", PHONE, "dark", axe)
    over_to(one, two)

    signer = Worker(chromium, shop, "Signatory", DESKTOP, "light", axe)
    defer_the_hose(signer)

    act(two, 1, "Repaired", "missing bolt put in, torqued")
    two.press("To its re-inspection")
    two.person.sees("Re-inspection: Bolts")
    two.count(6)
    technician = Worker(chromium, shop, "NDI technician", DESKTOP, "dark", axe)
    crack(two, technician, tmp_path)
    two.step("sign")
    two.sign("Sign 2 answers")
    two.person.sees("Nothing waits for your signature.")

    inspector = Worker(chromium, shop, "Inspector", PHONE, "dark", axe)
    inspector.begin()
    strut_outside(inspector, two)
    look_at_all(inspector, 8, "wheels")

    two.step("open")
    two.person.page.get_by_label("In again, of all").fill("1")
    two.press("Count in")
    two.person.sees("all in")
    two.state("Swing", Number_of_pins="3")
    swing(two, "Locks")
    required = Worker(chromium, shop, "Required inspector", PHONE, "light", axe)
    required.begin()
    look_at_all(required, 3, "swing")
    two.state("Restored", Number_of_pins="3")
    swing(two, "Closed")
    look_at_all(inspector, 3, "restored")

    sign_off(signer)
    work_record(signer)
    one.person.go(f"/visit?visit={one.visit}")
    one.page("signed-off-seen", "Work record (PDF)")

    everybody = (one, two, technician, signer, inspector, required)
    faults = [fault for worker in everybody for fault in (*worker.faults, *worker.person.faults)]
    assert not faults, "\n".join(faults)
    shop.kill()
    with open_archive(shop.home) as archive:
        assert archive.verify().faults == ()


def defer_the_hose(signer: Worker) -> None:
    """The signatory looks at the gaps and defers the worn hose until landings."""
    signer.begin()
    signer.step("off")
    signer.page("gaps", "What is missing")
    signer.step("cases")
    signer.page("cases", "Discrepancies")
    signer.press("Open it", 0)  # the worn hose is deferred
    signer.person.unfold("Defer it")
    for label, text in (
        ("Reference that allows it", "list item 32-1"), ("Category", "C"), ("Placard", "at the gear handle"),
    ):  # fmt: skip
        signer.person.fill(label, text)
    signer.person.page.get_by_label("Or until landings").fill("6000")
    signer.page_once("deferral")
    signer.person.page.get_by_label("it signs this deferral").fill(PASSWORD)
    signer.press("Sign this deferral")
    signer.person.sees("until 6000 landings")


def sign_off(signer: Worker) -> None:
    """The signatory types the aircraft's times; nothing is missing, and he signs the visit's record."""
    signer.step("off")
    for label, value in (("Total time in service, h", "4210.5"), ("Cycles", "6100"), ("Landings", "5890")):
        field = signer.person.page.get_by_label(label)
        field.fill(value)
        field.press("Enter")
        signer.person.settled()
    signer.person.sees("Complete: every item answered by two people")
    signer.person.sees("Nothing is missing")
    signer.person.does_not_see("What is missing")
    signer.page_once("off")
    signer.sign("Sign the work record")
    signer.person.sees("Signed off")
    signer.page("signed-off", "Signed off")


def work_record(one: Worker) -> None:
    """The record that was signed, as a file: a PDF of this visit, with what was found and what was done."""
    with one.person.page.expect_download() as coming:
        one.person.press("Work record (PDF)")
    data = Path(coming.value.path()).read_bytes()
    assert data.startswith(b"%PDF-1.7")
    assert one.visit[:8] in coming.value.suggested_filename
    with pypdfium2.PdfDocument(data) as document:
        words = " ".join(page.get_textpage().get_text_range() for page in document)
    words = " ".join(words.split())
    for found in (
        "ZZ-GWT", "4210.5", "rubbed through to the braid", "list item 32-1", "missing bolt put in, torqued",
        "line in the paint only",
    ):  # fmt: skip
        assert found in words, found
    assert SERVICED in words[words.index(STRUT_FOUND) :][:300], "the strut's discrepancy without its action"
    assert "airworthy" not in words.lower()


def swing(two: Worker, title: str) -> None:
    """Answer the one item of this condition on every leg, and sign."""
    for leg in range(3):
        two.walk(leg)
        two.onward(f"Go on: {title}")
        two.onward("Nothing wrong")
        two.person.sees("Round of the")
    two.step("sign")
    two.sign("Sign 3 answers")
    two.person.sees("Nothing waits for your signature.")


def crack(two: Worker, technician: Worker, folder: Path) -> None:
    """What may be a crack: stopped, marked, photographed, sent for NDI, which finds nothing."""
    photo = of_today(IMAGES / "reads_within" / "nose_from_above.jpg", folder)
    two.step("cases")
    two.press("Open it", 2)
    two.person.sees("What may be a crack, step by step")
    two.page("crack", "Next: Stop")
    two.person.fill("Tag", "T-13")
    two.press("This is done")
    two.person.sees("Mark beside it")
    two.person.fill("Marker", "permitted felt marker")
    two.press("This is done")
    two.person.sees("Add the photo with its place first.")
    two.person.unfold("Add a photo")
    two.press("Take it")
    two.person.hand_over(photo)
    two.person.page.locator(".gw-picture img").first.wait_for()
    two.person.settled()
    two.page("crack-photo", "Photo with its place")
    two.person.fill("Place", "upper lug of the drag brace")
    two.press("This is done")
    two.person.sees("Order the non-destructive inspection")
    for label, text in (("Part", "drag brace"), ("Serial", "S-4"), ("Data", "NDI manual 32-1 rev 5")):
        two.person.fill(label, text)
    two.person.choose("Material", "ferrous")
    two.person.choose("Method", "magnetic particle")
    two.page_once("crack-order")
    two.press("This is done")
    two.person.sees("Result of the non-destructive inspection")
    technician.begin()
    technician.step("cases")
    technician.press("Open it", 2)
    technician.person.choose("Result", "no indication")
    technician.person.fill("Report", "NDI 44")
    technician.person.page.get_by_label("it signs the result").fill(PASSWORD)
    technician.page_once("crack-result")
    technician.press("This is done")
    technician.person.sees("What was done about it")
    act(two, 2, "Non-destructive inspection found nothing", "line in the paint only")
    two.press("To its re-inspection")
    two.person.sees("Re-inspection: Cracks")
    two.onward("Nothing wrong")
