"""The demo in a process of its own, on a port that it keeps over restarts."""

import json
import socket
import subprocess
import time
from pathlib import Path
from urllib.error import URLError
from urllib.request import urlopen

from app.bootstrap.demo import PASSWORD
from tests.app.cli_files import process

__all__ = ["PASSWORD", "DemoServer"]
PATIENCE_S = 120


class DemoServer:
    """`gearwitness demo` on the archive in a folder."""

    def __init__(self, home: Path) -> None:
        self.home = home
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.url = f"http://127.0.0.1:{self.port}"
        self._child: subprocess.Popen[str] | None = None

    def start(self) -> None:
        """Start it, and wait until the three photos of the demo are measured."""
        out = (self.home.parent / f"{self.home.name}.log").open("a", encoding="utf-8")
        with out:
            self._child = process(
                ["demo", "--home", self.home, "--port", self.port],
                self.home.parent,
                stdout=out,
                stderr=subprocess.STDOUT,
            )
        patience = time.monotonic() + PATIENCE_S
        while time.monotonic() < patience:
            assert self._child.poll() is None, (self.home.parent / f"{self.home.name}.log").read_text()
            if self._told().get("demo") == "ready":
                return
            time.sleep(0.1)
        raise AssertionError(self._told())

    def kill(self) -> None:
        """End it as a power cut does."""
        if self._child is not None:
            self._child.kill()
            self._child.wait()
            self._child = None

    def _told(self) -> dict[str, str]:
        try:
            with urlopen(f"{self.url}/healthz", timeout=5) as answer:
                return dict(json.load(answer))
        except (URLError, ConnectionError, TimeoutError):
            return {}
