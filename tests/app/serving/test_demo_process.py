"""`gearwitness demo` as a process: what it says, who can sign in, and that it leaves nothing behind."""

import os
import subprocess
from pathlib import Path

import pytest

from app.bootstrap.demo import PASSWORD
from tests.app.cli_files import ROOT, process
from tests.app.serving.processes import Server, free_port, server, wait_until_ready


@pytest.mark.parametrize("stop", ["interrupt", "terminate"])
def test_a_demo_without_a_folder_says_who_can_sign_in_and_removes_its_folder_at_the_end(
    tmp_path: Path, stop: str
) -> None:
    port = free_port()
    child = process(
        ["demo", "--port", port],
        tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={"TMPDIR": str(tmp_path)},
    )
    running = Server(child, port)
    try:
        wait_until_ready(running)
        (home,) = tmp_path.glob("gearwitness-demo-*")
        assert (home / "archive.sqlite3").exists()
        mechanic = running.browser("Mechanic", PASSWORD)
        assert "measured" in mechanic.get("/healthz").json()["demo"]
        mechanic.close()
        status = running.interrupt() if stop == "interrupt" else running.terminate()
    finally:
        running.kill()
    out, err = child.communicate()
    assert status == 0, err
    assert out.splitlines() == [
        f"Gearwitness: http://127.0.0.1:{port}",
        "Sign in as Mechanic, Inspector, Inspector 2, Mechanic 2, Required inspector, NDI technician, "
        f"Signatory, Trainee, Administrator; password: {PASSWORD}. "
        f"Photos to try it with: {ROOT / 'demo_images'}",
        "Three of them are measured first, which takes a few seconds.",
        "Stop with Ctrl-C.",
    ]
    assert list(tmp_path.iterdir()) == []


def test_a_demo_is_not_served_to_other_machines_whatever_the_environment_says(tmp_path: Path) -> None:
    child = process(
        ["demo", "--port", free_port()],
        tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={"GEARWITNESS_ADDRESS": "0.0.0.0", "TMPDIR": str(tmp_path)},
    )
    out, err = child.communicate(timeout=60)
    assert (child.returncode, out) == (2, "")
    assert "the demo's identities are for everybody who reaches it, and 0.0.0.0 can be reached" in err
    assert list(tmp_path.iterdir()) == []


def test_a_person_s_own_streamlit_settings_do_not_open_the_server(tmp_path: Path) -> None:
    """Neither a folder's configuration nor the environment takes the place of the loopback address."""
    (tmp_path / ".streamlit").mkdir()
    settings = '[server]\naddress = "0.0.0.0"\nport = 1\nenableAgentApi = true\n'
    (tmp_path / ".streamlit" / "config.toml").write_text(settings, encoding="utf-8")
    strange = {"STREAMLIT_SERVER_ADDRESS": "0.0.0.0", "STREAMLIT_SERVER_PORT": "1"}
    with server(tmp_path / "home", env=strange) as running:
        places = [place for place in listening() if place.endswith(f":{running.port}")]
    assert places == [f"127.0.0.1:{running.port}"]


def listening() -> list[str]:
    """Listening IPv4 sockets of this machine, as Linux tells them: address in hex, reversed."""
    if os.name != "posix" or not Path("/proc/net/tcp").exists():
        pytest.skip("looks for listening sockets as Linux shows them")
    rows = [line.split() for line in Path("/proc/net/tcp").read_text(encoding="ascii").splitlines()[1:]]
    places = [row[1].split(":") for row in rows if row[3] == "0A"]
    return [
        ".".join(str(byte) for byte in reversed(bytes.fromhex(address))) + f":{int(port, 16)}"
        for address, port in places
    ]
