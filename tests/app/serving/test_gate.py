"""The gate before a small application: who passes, who is sent where, and what another site sends."""

from collections.abc import Callable
from typing import Any

import pytest
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Mount, Route, WebSocketRoute
from starlette.testclient import TestClient, WebSocketDenialResponse
from starlette.websockets import WebSocket, WebSocketDisconnect

from app.inspection.model import Person, Role
from app.serving.gate import COOKIE, OPEN_PATHS, Gate, person_of

HOST = "127.0.0.1:8501"
HERE = {"origin": f"http://{HOST}"}
MECHANIC = Person("1", "Mechanic", frozenset({Role.MECHANIC}))


class Sessions:
    def __init__(self) -> None:
        self.open = {"token": MECHANIC}

    def person_of(self, token: str) -> Person | None:
        return self.open.get(token)


async def name(request: Request) -> Response:
    person: Any = request.scope["gearwitness.person"]
    return PlainTextResponse(person_of(request).name if person else "nobody")


async def echo(websocket: WebSocket) -> None:
    await websocket.accept()
    try:
        while True:
            await websocket.send_text(await websocket.receive_text())
    except WebSocketDisconnect:
        pass


@pytest.fixture
def sessions() -> Sessions:
    return Sessions()


@pytest.fixture
def browser(sessions: Sessions) -> Callable[..., TestClient]:
    anything = ["GET", "POST", "PUT", "DELETE", "PATCH", "HEAD", "OPTIONS"]
    app = Starlette(
        routes=[
            WebSocketRoute("/stream", echo),
            Mount("/", routes=[Route("/{path:path}", name, methods=anything)]),
        ],
        middleware=[Middleware(Gate, sessions.person_of)],
    )

    def client(token: str = "") -> TestClient:
        cookies = {COOKIE: token} if token else {}
        return TestClient(app, f"http://{HOST}", cookies=cookies, follow_redirects=False)

    return client


@pytest.mark.parametrize(
    "path", ["/", "/drafts/1", "/sign-out", "/sign-in/", "/sign-in/other.css", "/healthz/x"]
)
def test_a_browser_without_a_session_is_sent_to_the_sign_in_and_back(
    browser: Callable[..., TestClient], path: str
) -> None:
    answer = browser().get(f"{path}?draft=1&b=%C3%A9", headers={"accept": "text/html,*/*"})
    assert answer.status_code == 303
    assert answer.next_request is not None
    assert answer.next_request.url.path == "/sign-in"
    assert answer.next_request.url.params["next"] == f"{path}?draft=1&b=%C3%A9"


@pytest.mark.parametrize(
    "path", ["/sign-in/../media/x", "/sign-in/%2e%2e/x", "/healthz/../x", "//healthz", "/SIGN-IN"]
)
def test_a_path_that_only_looks_open_is_closed(browser: Callable[..., TestClient], path: str) -> None:
    client = browser()
    request = client.build_request("GET", "/")
    request.url = request.url.copy_with(raw_path=path.encode())
    assert client.send(request).status_code == 401


@pytest.mark.parametrize("path", sorted(OPEN_PATHS))
def test_what_is_open_is_open_to_everybody(browser: Callable[..., TestClient], path: str) -> None:
    assert browser().get(path).text == "nobody"


@pytest.mark.parametrize("method", ["GET", "HEAD", "OPTIONS", "POST", "PUT", "DELETE", "PATCH"])
def test_anything_but_opening_a_page_is_told_that_nobody_is_signed_in(
    browser: Callable[..., TestClient], method: str
) -> None:
    answer = browser().request(method, "/drafts/1/photo", headers=HERE | {"accept": "*/*"})
    assert answer.status_code == 401
    if method != "HEAD":
        assert answer.json() == {"error": "nobody is signed in: sign in and do it again"}


def test_a_person_passes_and_is_known_behind_the_gate(browser: Callable[..., TestClient]) -> None:
    assert browser("token").get("/").text == "Mechanic"
    assert browser("token").put("/drafts/1/photo", headers=HERE).text == "Mechanic"


@pytest.mark.parametrize("token", ["", "forged", "token2", "Token", "to ken", "%74oken", "é"])
def test_a_forged_session_is_none(browser: Callable[..., TestClient], token: str) -> None:
    client = browser()
    headers = {"cookie": f"{COOKIE}={token}".encode(), "accept": "*/*"}
    assert client.get("/", headers=headers).status_code == 401


def test_a_session_that_has_ended_is_none(browser: Callable[..., TestClient], sessions: Sessions) -> None:
    client = browser("token")
    assert client.get("/").status_code == 200
    sessions.open.clear()
    assert client.get("/", headers={"accept": "*/*"}).status_code == 401


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH"])
@pytest.mark.parametrize(
    "origin",
    [
        "http://elsewhere.example",
        f"http://{HOST}.elsewhere.example",
        "http://127.0.0.1:9999",
        "http://127.0.0.1",
        f"http://elsewhere.example/{HOST}",
        f"http://{HOST}@elsewhere.example",
        "null",
        "",
    ],
)
@pytest.mark.parametrize("token", ["token", ""])
@pytest.mark.parametrize("path", ["/drafts/1/photo", "/sign-in"])
def test_what_another_site_sends_is_refused_also_with_a_session(
    browser: Callable[..., TestClient], method: str, origin: str, token: str, path: str
) -> None:
    headers = {"origin": origin} if origin else {}
    answer = browser(token).request(method, path, headers=headers)
    assert answer.status_code == 403
    assert "was not sent by a page of Gearwitness" in answer.json()["error"]


def test_opening_a_page_from_another_site_is_no_crime(browser: Callable[..., TestClient]) -> None:
    assert browser("token").get("/", headers={"origin": "http://elsewhere.example"}).text == "Mechanic"


@pytest.mark.parametrize(
    ("token", "headers", "status"),
    [
        ("", HERE, 401),
        ("forged", HERE, 401),
        ("token", {}, 403),
        ("token", {"origin": "http://a.example"}, 403),
    ],
)
def test_a_websocket_without_session_or_from_another_site_is_not_opened(
    browser: Callable[..., TestClient], token: str, headers: dict[str, str], status: int
) -> None:
    client = browser(token)
    with (
        pytest.raises(WebSocketDenialResponse) as denied,
        client.websocket_connect(f"ws://{HOST}/stream", headers=headers),
    ):
        pass
    assert denied.value.status_code == status


def test_a_websocket_is_hung_up_once_its_session_is_over(
    browser: Callable[..., TestClient], sessions: Sessions
) -> None:
    with browser("token").websocket_connect(f"ws://{HOST}/stream", headers=HERE) as websocket:
        websocket.send_text("one")
        assert websocket.receive_text() == "one"
        sessions.open.clear()
        websocket.send_text("two")
        with pytest.raises(WebSocketDisconnect) as ended:
            websocket.receive_text()
    assert ended.value.code == 4401
