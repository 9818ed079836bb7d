"""The strut of a whole visit in the browser: its photo, the second person's places, the rule, the re-inspection."""

import json
from pathlib import Path
from tempfile import TemporaryDirectory

from tests.browser.act_in_visit import act
from tests.browser.person import IMAGES
from tests.browser.photo_of_today import of_today
from tests.browser.shop_server import PASSWORD
from tests.browser.worker import Worker

OUTSIDE = IMAGES / "reads_outside" / "nose_low.jpg"
WITHIN = IMAGES / "reads_within" / "nose_hangar.jpg"
STRUT_FOUND = "read on the photo and confirmed, is outside its limits: 57.15 mm to 69.85 mm"
SERVICED = "serviced to the chart, 90 ml, batch 7"
MEASURED_WITHIN_MS = 120_000
"""On two cores that other tests are using too."""


def struts(one: Worker) -> None:
    """The nose strut by its photo, which reads outside; the main struts by rule."""
    for leg, value in ((0, "89.0 mm"), (2, "88.5 mm")):
        one.walk(leg)
        one.onward("Begin: Strut extension")
        one.person.page.get_by_role("link", name="Measure by hand").click()
        by_rule(one, value)
    one.walk(1)
    one.onward("Begin: Strut extension")
    one.page("strut", "Before the photo")
    photograph(one, OUTSIDE, "Outside")


def by_rule(one: Worker, value: str) -> None:
    one.person.sees("Measured by hand")
    one.settled()
    one.person.fill("Strut extension by rule or gauge", value)
    one.person.fill("± (95 %)", "0.5 mm")
    one.person.fill("Instrument and its number", "steel rule 17")
    one.person.fill("Your password: it signs this measurement", PASSWORD)
    one.press("Sign this measurement")
    one.person.sees("Entered")


def photograph(one: Worker, photo: Path, verdict: str) -> None:
    """From the item to the reading that is sent."""
    if one.person.page.get_by_role("button", name="Photograph the strut").count():
        one.press("Photograph the strut")
    one.person.sees("Before the photo")
    one.settled()
    one.person.tick_all()
    one.press("Go on to the photo")
    one.person.sees("Camera level with the collar")
    one.settled()
    with TemporaryDirectory() as folder:
        one.person.hand_over(of_today(photo, Path(folder)))
        send = one.person.page.get_by_role("button", name="Send to be confirmed")
        send.wait_for(timeout=MEASURED_WITHIN_MS)
    one.page(f"reading-{verdict.lower()}", verdict)
    one.press("Send to be confirmed")
    one.person.sees("Sent")


def confirm(inspector: Worker, photo: Path) -> None:
    """The second person places both ends on the bare photo before he is shown the reading, then signs."""
    person = inspector.person
    person.go("/queue")
    inspector.press("Read the photo")
    inspector.page("bare", "Read the bare photo")
    known = json.loads(photo.with_suffix(".truth.json").read_text(encoding="utf-8"))
    for mark, end in enumerate(("from_px", "to_px")):
        person.place(mark, *known[end])
    inspector.press("Use these places")
    inspector.press("Store my reading")
    person.sees("Agree")
    inspector.page("side-by-side", "All readings side by side")
    person.fill("Password of Inspector", PASSWORD)
    inspector.press("Sign")
    person.sees("Signed by")


def strut_outside(inspector: Worker, two: Worker) -> None:
    """Outside, confirmed from the photo, opens a discrepancy; serviced, photographed anew, confirmed."""
    confirm(inspector, OUTSIDE)
    act(two, 3, "Serviced", SERVICED)
    two.press("To its re-inspection")
    photograph(two, WITHIN, "Within limits")
    confirm(inspector, WITHIN)
    for value in ("89.2 mm", "88.6 mm"):
        inspector.person.go("/queue")
        inspector.press("Measure by hand")
        by_rule(inspector, value)
