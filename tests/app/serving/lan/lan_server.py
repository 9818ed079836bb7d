"""`gearwitness serve --lan` as a process that tests reach by the addresses of this machine."""

import socket
import ssl
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from app.serving.lan.addresses import lan_addresses
from tests.app.cli_files import process
from tests.app.records_house import open_house
from tests.app.serving.processes import READY_WITHIN_S, free_port

ADDRESSES = [one for one in lan_addresses() if ":" not in one]


@dataclass
class LanServer:
    home: Path
    port: int
    told: str
    pid: int

    @property
    def url(self) -> str:
        return f"https://{ADDRESSES[0]}:{self.port}"

    @property
    def trusting(self) -> ssl.SSLContext:
        return ssl.create_default_context(cafile=str(self.home / "tls" / "certificate.pem"))

    @property
    def desk(self) -> str:
        return f"https://127.0.0.1:{self.port}"


@contextmanager
def serving_lan(folder: Path) -> Iterator[LanServer]:
    """An archive with the usual people, served until the end of the block."""
    home, port, log = folder / "home", free_port(), folder / "log"
    open_house(home).archive.close()
    with log.open("w", encoding="utf-8") as out:
        arguments = ["serve", "--lan", "--home", home, "--port", port]
        child = process(arguments, folder, stdout=out, stderr=subprocess.STDOUT)
    try:
        patience = time.monotonic() + READY_WITHIN_S
        while not answers(port):
            assert child.poll() is None, log.read_text(encoding="utf-8")
            assert time.monotonic() < patience
            time.sleep(0.1)
        yield LanServer(home, port, log.read_text(encoding="utf-8"), child.pid)
    finally:
        child.kill()
        child.wait()


def answers(port: int) -> bool:
    try:
        with socket.create_connection(("127.0.0.1", port), 1):
            return True
    except OSError:
        return False
