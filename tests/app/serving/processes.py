"""The server as a process of its own, on a free port of this machine."""

import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import httpx2

from tests.app import records_house
from tests.app.cli_files import process

READY_WITHIN_S = 60


@dataclass
class Server:
    """A running server."""

    child: "subprocess.Popen[str]"
    port: int
    clients: list[httpx2.Client] = field(default_factory=list)

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def browser(self, name: str = "", password: str = records_house.PASSWORD) -> httpx2.Client:
        """A client that says where it comes from, signed in where a name is given."""
        client = httpx2.Client(base_url=self.url, headers={"origin": self.url}, timeout=30)
        self.clients.append(client)
        if name:
            answer = client.post("/sign-in", data={"name": name, "password": password})
            assert answer.status_code == 303
        return client

    def kill(self) -> None:
        """End it as a power cut does."""
        self.child.kill()
        self.child.wait()

    def interrupt(self) -> int:
        """End it as a person does, and return its exit status."""
        self.child.send_signal(signal.SIGINT)
        return self.child.wait(30)

    def terminate(self) -> int:
        """End it as a machine does that is shut down, and return its exit status."""
        self.child.terminate()
        return self.child.wait(30)


@contextmanager
def server(home: Path, *command: object, env: dict[str, str] | None = None) -> Iterator[Server]:
    """A server on the archive in `home`, ready to answer."""
    port = free_port()
    arguments = [*(command or ("serve",)), "--home", home, "--port", port]
    child = process(arguments, home.parent, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, env=env or {})
    running = Server(child, port)
    try:
        wait_until_ready(running)
        yield running
    finally:
        running.kill()
        for client in running.clients:
            client.close()
        assert child.stdout is not None
        child.stdout.close()


def wait_until_ready(running: Server) -> None:
    """Wait for the server's first answer."""
    patience = time.monotonic() + READY_WITHIN_S
    while time.monotonic() < patience:
        if running.child.poll() is not None:
            assert running.child.stdout is not None
            raise AssertionError(running.child.stdout.read())
        try:
            if httpx2.get(f"{running.url}/healthz").status_code == 200:
                return
        except httpx2.TransportError:
            time.sleep(0.05)
    msg = f"no answer within {READY_WITHIN_S} s"
    raise AssertionError(msg)


def free_port() -> int:
    with socket.socket() as trial:
        trial.bind(("127.0.0.1", 0))
        return int(trial.getsockname()[1])
