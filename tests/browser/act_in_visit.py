"""An action on a discrepancy of a whole visit in the browser."""

from tests.browser.shop_server import PASSWORD
from tests.browser.worker import Worker


def act(one: Worker, which: int, kind: str, done: str) -> None:
    one.step("cases")
    one.press("Open it", which)
    one.person.sees("What was done about it")
    one.person.choose("Action", kind)
    one.person.fill("What was done", done)
    one.person.fill("Approved data by which it was done", "manual 32-10-05 rev 3")
    one.page_once(f"action-{which}")
    one.person.page.get_by_label("it signs this action").fill(PASSWORD)
    one.press("Sign this action")
    one.person.sees("To its re-inspection")
