"""How much a phone loads: ``python -m tests.browser.page_weight``; bytes as they come over the network.

For each page, with nothing kept by the browser and once more with what it keeps; what
comes through the websocket counts with it.  The demo's archive is looked at.
"""

import tempfile
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from tests.browser.chromium import EXECUTABLE, FLAGS, PHONE
from tests.browser.demo_server import DemoServer
from tests.browser.person import Person

PAGES = ("/", "/queue", "/archive", "/find", "/guide")


class Scale:
    """Counts what a page loads, from its browser's own account of the network."""

    def __init__(self, page: Any) -> None:
        self.requests = self.loaded = self.through_socket = 0
        self._session = page.context.new_cdp_session(page)
        self._session.send("Network.enable")
        self._session.on("Network.loadingFinished", self._finished)
        self._session.on("Network.webSocketFrameReceived", self._frame)

    def _finished(self, event: dict[str, Any]) -> None:
        self.requests += 1
        self.loaded += int(event["encodedDataLength"])

    def _frame(self, event: dict[str, Any]) -> None:
        told = event["response"]
        length = len(told["payloadData"])
        self.through_socket += length if told["opcode"] == 1 else length * 3 // 4  # binary comes as base64

    def read(self) -> str:
        """Return what was counted, in words."""
        return (
            f"{self.loaded / 1e6:6.2f} MB in {self.requests:3d} requests, "
            f"{self.through_socket / 1e3:6.1f} kB through the websocket"
        )


def main() -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        demo = DemoServer(Path(folder) / "home")
        demo.start()
        browser = playwright.chromium.launch(executable_path=str(EXECUTABLE), args=FLAGS)
        try:
            for page in PAGES:
                person = Person(browser, demo.url, "Inspector", PHONE, "light")
                state = person.context.storage_state()
                person.context.close()
                context = browser.new_context(**PHONE, storage_state=state)
                tab = context.new_page()
                for kept in ("nothing kept", "kept"):
                    scale = Scale(tab)
                    tab.goto(f"{demo.url}{page}")
                    tab.locator(".gw-block").first.wait_for()
                    tab.locator("[data-testid=stApp][data-test-script-state=notRunning]").wait_for()
                    tab.wait_for_timeout(1500)
                    print(f"{page:10} {kept:13} {scale.read()}", flush=True)
                context.close()
        finally:
            browser.close()
            demo.kill()


if __name__ == "__main__":
    main()
