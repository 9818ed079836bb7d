"""`gearwitness serve` as a process: started, cut off between photo and reading, started again, stopped."""

import hashlib
import os
import signal
import subprocess
import time
from pathlib import Path
from typing import Any

import httpx2
import pytest
from websockets.exceptions import InvalidStatus
from websockets.sync.client import connect

from app.archive import open_archive
from tests.app.cli_files import process
from tests.app.records_house import STATED, open_house
from tests.app.serving.processes import Server, server
from tests.app.serving.served import PHOTO

MEASURED = ("read", "refused")  # which of the two is the measurement's own matter


def furnished(home: Path) -> str:
    """People, legs and a draft of the mechanic's in a new archive."""
    house = open_house(home)
    draft = house.inspections.begin_try(house.mechanic, house.primary.id, STATED)
    house.archive.close()
    return draft.id


def waited_for(client: httpx2.Client, draft: str, within_s: float = 60) -> dict[str, Any]:
    """How the try stands once its photo is measured."""
    patience = time.monotonic() + within_s
    while time.monotonic() < patience:
        told = client.get(f"/drafts/{draft}").json()
        if told["result_ready"]:
            return dict(told)
        time.sleep(0.05)
    raise AssertionError(told)


def test_a_photo_whose_server_dies_before_its_reading_is_measured_by_the_next(
    tmp_path: Path, strut_photo: Path
) -> None:
    home = tmp_path / "home"
    draft, data = furnished(home), strut_photo.read_bytes()
    with server(home) as first:
        client = first.browser("Mechanic")
        answer = client.put(f"/drafts/{draft}/photo", content=data)
        first.kill()
        assert answer.json() == {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}
        cookies = client.cookies
    with server(home) as second:
        again = second.browser()
        again.cookies = cookies  # the session outlives the server
        assert waited_for(again, draft)["state"] in MEASURED
    with open_archive(home) as archive:
        assert archive.verify().faults == ()
        assert archive.photos.get(answer.json()["sha256"]) == data


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="looks for the worker as Linux shows it")
def test_a_worker_killed_under_the_server_is_replaced_and_its_photo_read(
    tmp_path: Path, strut_photo: Path
) -> None:
    home = tmp_path / "home"
    draft = furnished(home)
    with server(home) as running:
        client = running.browser("Mechanic")
        client.put(f"/drafts/{draft}/photo", content=strut_photo.read_bytes())
        while client.get(f"/drafts/{draft}").json()["stage"] != "measuring the strut":
            time.sleep(0.01)
        (worker,) = workers_of(running)
        os.kill(worker, signal.SIGKILL)
        assert waited_for(client, draft)["state"] in MEASURED
        assert workers_of(running) != [worker]


def _seconds(client: httpx2.Client) -> float:
    began = time.monotonic()
    client.get("/healthz")
    return time.monotonic() - began


def workers_of(running: Server) -> list[int]:
    children = Path(f"/proc/{running.child.pid}/task").glob("*/children")
    pids = [int(pid) for file in children for pid in file.read_text(encoding="ascii").split()]
    return [pid for pid in pids if b"app.measuring.child" in Path(f"/proc/{pid}/cmdline").read_bytes()]


def test_the_server_answers_people_only_and_ends_when_it_is_told_to(tmp_path: Path) -> None:
    home = tmp_path / "home"
    draft = furnished(home)
    with server(home) as running:
        socket = f"ws://127.0.0.1:{running.port}/_stcore/stream"
        with pytest.raises(InvalidStatus, match="401"), connect(socket, origin=running.url):
            pass
        client = running.browser("Mechanic")
        page = client.get("/", headers={"accept": "text/html"})
        assert page.status_code == 200
        assert "<script" in page.text
        assert min(_seconds(client) for _ in range(20)) < 0.03  # 0.04 where the socket waits before it sends
        cookie = {"cookie": "; ".join(f"{name}={value}" for name, value in client.cookies.items())}
        with (
            pytest.raises(InvalidStatus, match="403"),
            connect(socket, origin="http://elsewhere.example", additional_headers=cookie),
        ):
            pass
        with connect(socket, origin=running.url, additional_headers=cookie):
            # A large body that is refused early: the refusal still arrives.
            nobody = running.browser()
            assert nobody.put(f"/drafts/{draft}/photo", content=PHOTO + b"\0" * 30_000_000).status_code == 401
            assert running.interrupt() == 0
        assert workers_of(running) == [] or os.name != "posix"


def test_a_port_that_is_taken_is_told_in_a_sentence(tmp_path: Path) -> None:
    with server(tmp_path / "home") as running:
        second = process(
            ["serve", "--home", tmp_path / "other", "--port", running.port],
            tmp_path,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        out, err = second.communicate(timeout=60)
    assert second.returncode == 2
    assert out == ""
    assert f"127.0.0.1:{running.port} cannot be listened on" in err
    assert "choose another with --port" in err
    assert not (tmp_path / "other").exists()
