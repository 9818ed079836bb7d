import json
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from socket import socket
from typing import Any
from urllib.parse import urlencode
from urllib.request import Request, urlopen

import pytest

from tests.browser.components.screen import Screen
from tests.browser.components.targets import HEIGHT, WIDTH, photo

ROOT = Path(__file__).resolve().parents[3]
QUIET = {
    "server.address": "127.0.0.1",
    "server.headless": "true",
    "server.fileWatcherType": "none",
    "browser.gatherUsageStats": "false",
    "client.toolbarMode": "minimal",
}


class Server:
    """The harness in a process of its own."""

    def __init__(self, port: int) -> None:
        self.address = f"http://127.0.0.1:{port}"

    def post(self, path: str, data: bytes) -> Any:
        with urlopen(Request(f"{self.address}{path}", data=data, method="POST"), timeout=20) as answer:
            return json.load(answer)

    def order(self, **faults: Any) -> None:
        """Forget everything but the photos, and go wrong as told from now on."""
        self.post("/harness/order", json.dumps(faults).encode())

    def told(self) -> dict[str, Any]:
        with urlopen(f"{self.address}/harness/log", timeout=20) as answer:
            return dict(json.load(answer))

    def placing(self, **query: str | list[str]) -> str:
        sha = sha256(photo()).hexdigest()
        return f"{self.address}/?{urlencode({'sha': sha, 'width': WIDTH, 'height': HEIGHT, **query}, doseq=True)}"

    def sending(self, draft: str) -> str:
        return f"{self.address}/?draft={draft}"


@pytest.fixture(scope="session")
def _harness(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    pytest.importorskip("streamlit", reason="streamlit is not installed")
    with socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    script = Path(__file__).with_name("harness_app.py")
    options = [f"--{name}={value}" for name, value in {**QUIET, "server.port": port}.items()]
    log = tmp_path_factory.mktemp("harness") / "log"
    with log.open("wb") as out:
        process = subprocess.Popen(
            [sys.executable, "-m", "streamlit", "run", str(script), *options],
            cwd=ROOT / "app",  # Streamlit reads the application's theme from here
            env={"PATH": "/usr/bin:/bin", "PYTHONPATH": str(ROOT), "HOME": str(log.parent)},
            stdout=out,
            stderr=subprocess.STDOUT,
        )
    server = Server(port)
    try:
        _wait(server, process, log)
        server.post("/harness/photo", photo())
        yield server
    finally:
        process.terminate()
        process.wait(timeout=10)


def _wait(server: Server, process: subprocess.Popen[bytes], log: Path) -> None:
    until = time.monotonic() + 60
    while time.monotonic() < until:
        assert process.poll() is None, log.read_text()
        try:
            server.told()
        except OSError:
            time.sleep(0.1)
        else:
            return
    pytest.fail(f"the harness did not start: {log.read_text()}")


@pytest.fixture
def harness(_harness: Server) -> Server:
    """The harness, in order and without drafts."""
    _harness.order()
    return _harness


OpenPage = Callable[..., Any]
OpenPlacing = Callable[..., Screen]


@pytest.fixture
def open_page(chromium: Any) -> Iterator[OpenPage]:
    """Opens an empty page of a kind, in a profile of its own; no complaint of a page is let pass."""
    contexts, complaints = [], []

    def open_(kind: dict[str, Any], **options: Any) -> Any:
        context = chromium.new_context(**kind, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        return page

    yield open_
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def open_placing(open_page: OpenPage, harness: Server) -> OpenPlacing:
    """Opens a page with `place_points`."""

    def open_(kind: dict[str, Any], query: dict[str, Any] | None = None, **options: Any) -> Screen:
        page = open_page(kind, **options)
        page.goto(harness.placing(**(query or {})))
        page.locator(".mark").first.wait_for(state="attached")
        return Screen(page)

    return open_
