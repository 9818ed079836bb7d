"""The photo arrives, byte for byte, whatever becomes of the network, the socket or the page."""

from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest

from tests.browser.chromium import PHONE
from tests.browser.components.conftest import OpenPage, Server
from tests.browser.components.targets import photo

NAME = "Bein links, 12°.jpg"
SHOWN = "The reading is shown here."
REFUSALS = [
    (409, "This try has another photo already. Begin a new try."),
    (413, "The photo is larger than 60 MB. Send the camera's own file."),
    (415, "This is no photo that can be read: send a JPEG, PNG or HEIC."),
]


class Sockets:
    """Streamlit's socket, which a test may cut: then it is closed and cannot be opened again."""

    def __init__(self, page: Any) -> None:
        self.cut_off = False
        self._open: list[Any] = []
        page.route_web_socket("**/_stcore/stream", self._asked)

    def _asked(self, socket: Any) -> None:
        if self.cut_off:
            socket.close()
            return
        socket.connect_to_server()
        self._open.append(socket)

    def cut(self) -> None:
        self.cut_off = True
        for socket in self._open:
            socket.close()


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / NAME
    path.write_bytes(photo())
    return path


@pytest.fixture
def phone(open_page: OpenPage, harness: Server) -> Callable[[str], Any]:
    def open_(draft: str) -> Any:
        page = open_page(PHONE)
        page.goto(harness.sending(draft))
        page.locator(".sending .pick, .sending .going, .stMarkdown p").first.wait_for()
        return page

    return open_


def pick(page: Any, file: Path) -> None:
    page.locator(".pick").wait_for()
    page.locator(".pick input").set_input_files(file)


def stored(harness: Server) -> dict[str, str]:
    return dict(harness.told()["stored"])


def test_the_photo_arrives_byte_for_byte_and_the_page_goes_on_by_itself(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    page = phone("plain")
    pick(page, file)
    page.get_by_text("reported: stored").wait_for()
    page.get_by_text(SHOWN).wait_for()
    assert stored(harness) == {"plain": sha256(photo()).hexdigest()}
    (upload,) = harness.told()["log"]
    assert upload["name"] == NAME


def test_the_photo_arrives_with_the_socket_dead_and_the_server_out_of_order_twice(
    open_page: OpenPage, harness: Server, file: Path
) -> None:
    harness.order(upload_answers=[[503, ""], [503, ""]])
    page = open_page(PHONE)
    sockets = Sockets(page)
    page.goto(harness.sending("cut"))
    page.locator(".pick").wait_for()
    sockets.cut()
    pick(page, file)
    page.get_by_text("No answer. The photo is kept on this device.").first.wait_for()
    page.get_by_text("Trying again in 2 s, try 3.").wait_for()
    page.get_by_text("The result is there.").first.wait_for()
    assert [entry["status"] for entry in harness.told()["log"]] == [503, 503, 200]
    assert stored(harness) == {"cut": sha256(photo()).hexdigest()}
    assert page.get_by_text(SHOWN).count() == 0, "Streamlit cannot have heard of it"
    sockets.cut_off = False
    page.get_by_role("button", name="Show the result").click()
    page.get_by_text(SHOWN).wait_for()


def test_a_page_loaded_again_before_the_photo_arrived_sends_it_by_itself(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    harness.order(upload_answers=[[503, ""]] * 3)
    page = phone("again")
    pick(page, file)
    page.get_by_text("Trying again in").first.wait_for()
    page.reload()
    page.get_by_text(SHOWN).wait_for()
    assert stored(harness) == {"again": sha256(photo()).hexdigest()}
    assert page.evaluate("indexedDB.databases().then((all) => all.length)") == 1
    assert kept_on_device(page) == 0


def kept_on_device(page: Any) -> int:
    count = """new Promise((resolve) => {
      const opening = indexedDB.open("gearwitness");
      opening.onsuccess = () => {
        const request = opening.result.transaction("photos").objectStore("photos").count();
        request.onsuccess = () => resolve(request.result);
      };
    })"""
    return int(page.evaluate(count))


def test_a_photo_left_alone_for_weeks_does_not_stay_on_the_device(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    harness.order(upload_answers=[[503, ""]] * 9)
    page = phone("left")
    pick(page, file)
    page.get_by_text("Trying again in").first.wait_for()
    assert kept_on_device(page) == 1
    page.clock.set_fixed_time("2100-01-01")
    page.goto(harness.sending("another"))
    page.locator(".pick").wait_for()
    assert kept_on_device(page) == 0


def test_a_page_loaded_again_while_the_photo_is_measured_takes_that_up(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    harness.order(stage_seconds=2)
    page = phone("measured")
    pick(page, file)
    page.get_by_text("The photo is stored. Finding the card …").first.wait_for()
    page.reload()
    page.get_by_text("The photo is stored. Measuring the strut …").first.wait_for()
    assert page.locator(".stages li.done").all_inner_texts() == ["Reading the photo", "Finding the card"]
    assert page.locator(".pick").is_hidden()
    page.get_by_text(SHOWN).wait_for()
    assert len(harness.told()["log"]) == 1


@pytest.mark.parametrize(("status", "sentence"), REFUSALS)
def test_a_refusal_is_shown_in_the_servers_words_and_another_photo_can_be_picked(
    phone: Callable[[str], Any], harness: Server, file: Path, status: int, sentence: str
) -> None:
    harness.order(upload_answers=[[status, sentence]])
    page = phone("refused")
    pick(page, file)
    page.locator(".refusal").get_by_text(sentence).wait_for()
    assert kept_on_device(page) == 0
    pick(page, file)
    page.get_by_text(SHOWN).wait_for()


def test_signed_out_meanwhile_the_photo_is_kept_and_sent_after_signing_in(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    harness.order(upload_answers=[[401, ""]])
    page = phone("out")
    pick(page, file)
    page.get_by_text("You are signed out. The photo is kept on this device.").first.wait_for()
    assert page.get_by_role("link", name="Sign in").get_attribute("href") == "/sign-in"
    page.get_by_text(SHOWN).wait_for()


def test_a_photo_whose_acknowledgement_was_lost_is_sent_again_without_harm(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    harness.order(answers_to_lose=1, stage_seconds=1)
    page = phone("twice")
    pick(page, file)
    page.get_by_text(SHOWN).wait_for()
    assert [entry["status"] for entry in harness.told()["log"]] == [200, 200]
    assert stored(harness) == {"twice": sha256(photo()).hexdigest()}


def test_an_answer_of_other_bytes_is_no_acknowledgement(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    page = phone("other")
    wrong = {"json": {"sha256": "0" * 64, "bytes": len(photo())}}
    page.route("**/drafts/other/photo", lambda route: route.fulfill(**wrong), times=1)
    pick(page, file)
    page.get_by_text("No answer. The photo is kept on this device.").first.wait_for()
    page.get_by_text(SHOWN).wait_for()
    assert stored(harness) == {"other": sha256(photo()).hexdigest()}


def test_a_server_that_stops_answering_while_it_measures_is_asked_again(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    page = phone("quiet")
    page.locator(".pick").wait_for()
    page.route("**/drafts/quiet", lambda route: route.fulfill(status=503), times=1)
    pick(page, file)
    page.get_by_text("The photo is stored. The server does not answer just now.").first.wait_for()
    page.get_by_text(SHOWN).wait_for()


def test_a_server_that_does_not_answer_at_first_does_not_hide_what_it_has(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    harness.order(stage_seconds=1)
    page = phone("late")
    pick(page, file)
    page.get_by_text("reported: stored").wait_for()
    page.route("**/drafts/late", lambda route: route.fulfill(status=503), times=1)
    page.reload()
    page.get_by_text(SHOWN).wait_for()
    assert len(harness.told()["log"]) == 1


def test_what_has_been_sent_is_shown_while_it_goes(
    phone: Callable[[str], Any], harness: Server, file: Path
) -> None:
    page = phone("slow")
    line = page.context.new_cdp_session(page)
    slow = {"offline": False, "latency": 20, "downloadThroughput": -1, "uploadThroughput": len(photo()) / 4}
    line.send("Network.emulateNetworkConditions", slow)
    pick(page, file)
    shares = set()
    bar = page.locator(".bar")
    for _ in range(100):
        if not bar.is_visible():
            break
        shares.add(int(bar.get_attribute("aria-valuenow")))
        page.wait_for_timeout(100)
    assert len([share for share in shares if 0 < share < 100]) >= 2
    page.get_by_text(SHOWN).wait_for()


def test_the_phone_may_offer_camera_and_gallery_and_is_given_no_list_of_endings(
    phone: Callable[[str], Any],
) -> None:
    field = phone("field").locator(".pick input")
    assert field.get_attribute("accept") == "image/*"
    assert field.get_attribute("capture") is None
    assert field.get_attribute("multiple") is None


def test_the_field_is_reached_and_seen_by_keyboard(phone: Callable[[str], Any]) -> None:
    page = phone("keys")
    page.locator(".pick").wait_for()
    with page.expect_file_chooser():
        page.locator(".pick input").focus()
        outline = page.locator(".pick").evaluate("label => getComputedStyle(label).outlineStyle")
        page.keyboard.press("Enter")
    assert outline == "solid"
