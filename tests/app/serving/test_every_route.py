"""Nobody reaches anything of the whole application but the sign-in, its style and the health answer."""

import json
import subprocess
import sys

import pytest

from tests.app.cli_files import ROOT

OPEN = {("GET", "/sign-in"), ("GET", "/sign-in/sign_in.css"), ("GET", "/healthz")}
STREAMLIT = {
    "/_stcore/stream",
    "/_stcore/health",
    "/_stcore/host-config",
    "/_stcore/upload_file/x/x",
    "/media/x",
    "/component/x",
    "/app/static/x",
    "/_stcore/agent/interact",
    "/index.html",
    "/",
}
OURS = {"/drafts/x", "/drafts/x/photo", "/photos/x/tile", "/photos/x/original", "/annotated/x", "/sign-out"}


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], int]:
    home = tmp_path_factory.mktemp("home")
    done = subprocess.run(
        [sys.executable, "-m", "tests.app.serving.every_route", home],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    return {(method, path): status for method, path, status in json.loads(done.stdout.splitlines()[-1])}


def test_the_routes_are_all_there_streamlit_s_own_too(answers: dict[tuple[str, str], int]) -> None:
    paths = {path for _, path in answers}
    assert paths >= STREAMLIT | OURS | {path for _, path in OPEN}
    assert ("POST", "/sign-in") in answers  # which answers 401 too: an empty form is nobody's


def test_nobody_gets_through_but_to_the_sign_in_and_the_health(answers: dict[tuple[str, str], int]) -> None:
    through = {asked for asked, status in answers.items() if status not in (303, 401)}
    assert {(method, path) for method, path in through if method != "HEAD"} == OPEN
    assert {path for _, path in through} == {path for _, path in OPEN}


def test_nobody_opens_the_websocket(answers: dict[tuple[str, str], int]) -> None:
    sockets = {path: status for (method, path), status in answers.items() if method == "WEBSOCKET"}
    assert sockets
    assert set(sockets.values()) == {401}
