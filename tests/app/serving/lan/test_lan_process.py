"""`gearwitness serve --lan` as a process: TLS alone, by its own certificate, with a code on the terminal."""

import re
import socket
import ssl
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import httpx2
import pytest
from websockets.exceptions import ConnectionClosed, InvalidStatus
from websockets.sync.client import connect

from app.serving.lan.certificate import own_certificate
from tests.app.cli_files import process
from tests.app.records_house import PASSWORD
from tests.app.serving.lan.lan_server import ADDRESSES, LanServer, serving_lan
from tests.app.serving.processes import free_port

pytestmark = pytest.mark.skipif(not ADDRESSES, reason="this machine is in no network")


@pytest.fixture(scope="module")
def running(tmp_path_factory: pytest.TempPathFactory) -> Iterator[LanServer]:
    with serving_lan(tmp_path_factory.mktemp("lan")) as server:
        yield server


def test_the_certificate_is_trusted_by_who_has_it_and_refused_by_who_has_another(
    running: LanServer, tmp_path: Path
) -> None:
    with httpx2.Client(verify=running.trusting) as client:
        assert client.get(f"{running.url}/healthz").json() == {"status": "ok"}
    other = own_certificate(tmp_path, ADDRESSES, datetime.now(UTC))
    for context in (ssl.create_default_context(cafile=str(other.certificate)), ssl.create_default_context()):
        with (
            httpx2.Client(verify=context) as client,
            pytest.raises(httpx2.ConnectError, match=r"(?i)certificate"),
        ):
            client.get(f"{running.url}/healthz")


def test_plain_http_gets_no_answer(running: LanServer) -> None:
    for host in (ADDRESSES[0], "127.0.0.1"):
        with socket.create_connection((host, running.port), 5) as plain:
            plain.settimeout(10)
            plain.sendall(f"GET /healthz HTTP/1.1\r\nhost: {host}\r\n\r\n".encode())
            try:
                said = plain.recv(1000)
            except ConnectionError:
                said = b""
        assert b"HTTP/" not in said
        assert b"status" not in said


def test_only_tls_from_1_2_on_is_spoken(running: LanServer) -> None:
    context = running.trusting
    with (
        socket.create_connection((ADDRESSES[0], running.port), 5) as plain,
        context.wrap_socket(plain, server_hostname=ADDRESSES[0]) as wrapped,
    ):
        assert wrapped.version() in ("TLSv1.2", "TLSv1.3")


def test_the_terminal_shows_address_code_fingerprint_and_expiry_and_the_code_lets_one_phone_in(
    running: LanServer,
) -> None:
    assert running.url in running.told
    assert "█" in running.told or "▀" in running.told or "\x1b[" in running.told
    assert re.search(r"Certificate until \d\d \w{3} \d{4}, renewed", running.told)
    assert re.search(r"(?:[0-9A-F]{2}:){31}[0-9A-F]{2}", running.told)
    code = re.search(r"code ([2-9A-Z]{5} [2-9A-Z]{5})", running.told)
    assert code is not None
    form = {"code": code[1], "device": "Phone", "name": "Mechanic", "password": PASSWORD}
    with httpx2.Client(
        verify=running.trusting, base_url=running.url, headers={"origin": running.url}
    ) as phone:
        page = {"accept": "text/html"}
        assert phone.get("/", headers=page).headers["location"].startswith("/pair")
        answer = phone.post("/pair", data=form)
        assert answer.status_code == 303
        assert all("Secure" in cookie for cookie in answer.headers.get_list("set-cookie"))
        assert "<script" in phone.get("/", headers=page).text
        cookie = "; ".join(f"{name}={value}" for name, value in phone.cookies.items())
        assert phone.post("/pair", data=form).status_code == 401
    stream = f"wss://{ADDRESSES[0]}:{running.port}/_stcore/stream"
    with connect(
        stream, origin=running.url, additional_headers={"cookie": cookie}, ssl=running.trusting
    ) as opened:
        assert opened.response is not None
        assert opened.response.status_code == 101
    with (
        pytest.raises(InvalidStatus, match="401"),
        connect(stream, origin=running.url, ssl=running.trusting),
    ):
        pass


def test_a_page_that_is_open_on_a_phone_is_hung_up_on_when_the_phone_is_shut_out(running: LanServer) -> None:
    desk_url = f"https://127.0.0.1:{running.port}"
    with (
        httpx2.Client(verify=running.trusting, base_url=desk_url, headers={"origin": desk_url}) as desk,
        httpx2.Client(
            verify=running.trusting, base_url=running.url, headers={"origin": running.url}
        ) as phone,
    ):
        desk.post("/sign-in", data={"name": "Inspector", "password": PASSWORD})
        code = re.search(r'class="code">([^<]*)<', desk.post("/devices/code").text)
        assert code is not None
        form = {"code": code[1], "device": "Lost phone", "name": "Inspector", "password": PASSWORD}
        assert phone.post("/pair", data=form).status_code == 303
        cookie = "; ".join(f"{name}={value}" for name, value in phone.cookies.items())
        stream = f"wss://{ADDRESSES[0]}:{running.port}/_stcore/stream"
        headers = {"cookie": cookie}
        with connect(stream, origin=running.url, additional_headers=headers, ssl=running.trusting) as opened:
            (device,) = re.findall(r'action="/devices/([0-9a-f]+)/end"', desk.get("/devices").text)
            assert desk.post(f"/devices/{device}/end").status_code == 303
            opened.send(b"anything")
            with pytest.raises(ConnectionClosed) as closed:
                while True:
                    opened.recv(20)
        assert closed.value.rcvd is not None
        assert closed.value.rcvd.code == 4401
        assert phone.get("/devices").status_code == 401


@pytest.mark.skipif(not Path("/proc").is_dir(), reason="looks at sockets as Linux shows them")
def test_starting_in_the_network_asks_nobody_elsewhere(running: LanServer) -> None:
    lines = Path(f"/proc/{running.pid}/net/tcp").read_text(encoding="ascii").splitlines()[1:]
    own = {
        target.removeprefix("socket:[").removesuffix("]")
        for one in Path(f"/proc/{running.pid}/fd").iterdir()
        if (target := str(one.readlink())).startswith("socket:[")
    }
    mine = [line.split() for line in lines if line.split()[9] in own]
    port = f"{running.port:04X}"
    assert "External" not in running.told
    assert all(line[1].endswith(f":{port}") for line in mine), mine


def test_without_lan_only_this_machine_is_listened_on(tmp_path: Path) -> None:
    env = {"GEARWITNESS_ADDRESS": "0.0.0.0"}
    child = process(
        ["serve", "--home", tmp_path / "home", "--port", free_port()],
        tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        env=env,
    )
    told, _ = child.communicate(timeout=60)
    assert child.returncode == 2
    assert "without TLS everybody there could read along: give --lan" in told
    assert not (tmp_path / "home").exists()


@pytest.mark.parametrize("files", [["--certificate", "c.pem"], ["--key", "k.pem"]])
def test_a_certificate_without_lan_or_without_its_key_is_wrong_use(tmp_path: Path, files: list[str]) -> None:
    for more, words in (([], "give --lan too"), (["--lan"], "go together")):
        child = process(
            ["serve", "--home", tmp_path / "home", *files, *more],
            tmp_path,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        told, _ = child.communicate(timeout=60)
        assert child.returncode == 2
        assert words in told
