"""The gate: nobody passes without a session, nothing passes that another site sent.

It stands before every path, Streamlit's own included, and before the websocket.
Open are the sign-in page, what that page shows, and the health answer, each
named in full: a prefix could be climbed out of.
"""

from collections.abc import Callable
from contextlib import suppress
from typing import cast
from urllib.parse import urlencode, urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.requests import ClientDisconnect, HTTPConnection, Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send
from starlette.websockets import WebSocket

from app.inspection.model import Person
from app.people.devices_model import Device
from app.serving.bodies import TooLong, read_body

COOKIE = "gw_session"
SIGN_IN, HEALTH, PAIR = "/sign-in", "/healthz", "/pair"
PROVIDER = f"{SIGN_IN}/provider"
PROVIDER_BACK, PROVIDER_FINISH, PROVIDER_LINK = (f"{PROVIDER}/{one}" for one in ("back", "finish", "link"))
PROVIDER_PATHS = frozenset({PROVIDER, PROVIDER_BACK, PROVIDER_FINISH, PROVIDER_LINK})
"""Open too where the shop has a provider; without one there is nothing there."""
OPEN_PATHS = frozenset({SIGN_IN, f"{SIGN_IN}/sign_in.css", HEALTH})
NETWORK = "gearwitness.network"
"""Set by the outer gate of a server in the network, where the pairing page is open too."""

DEVICE = "gearwitness.device"
"""Where the outer gate of a server in the network leaves the device that asks."""
PersonOf = Callable[[str], Person | None]

_PERSON = "gearwitness.person"
_READING_ONLY = frozenset({"GET", "HEAD", "OPTIONS"})
_SESSION_ENDED = 4401  # codes from 4000 on are an application's own; this one says what HTTP's 401 says


def person_of(connection: HTTPConnection) -> Person:
    """Return who asks, as the gate found it: behind the gate there always is a person."""
    return cast("Person", connection.scope[_PERSON])


def device_of(connection: HTTPConnection) -> Device | None:
    """Return the device that asks; None on the machine that serves, and without a network."""
    return cast("Device | None", connection.scope.get(DEVICE))


def token_of(connection: HTTPConnection) -> str:
    """Return the session's token, empty where the request carries none."""
    return connection.cookies.get(COOKIE, "")


class Gate:
    """Pure ASGI middleware; `find_person` gives the person of a token that still counts.

    `open_too` are paths that are for everybody beside `OPEN_PATHS`.
    """

    def __init__(self, app: ASGIApp, find_person: PersonOf, open_too: frozenset[str] = frozenset()) -> None:
        self._app = app
        self._find_person = find_person
        self._open = OPEN_PATHS | open_too

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request or a websocket through, or answer in the application's place."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        connection = HTTPConnection(scope)
        if _is_foreign(connection):
            await answer_early(_refused(), scope, receive, send)
            return
        token = token_of(connection)
        scope[_PERSON] = await self._person(token)
        if scope[_PERSON] is None and not self._is_open(scope):
            await answer_early(_to_sign_in(connection), scope, receive, send)
            return
        if scope["type"] == "websocket":
            receive = self._watched(token, receive, send)
        await self._app(scope, receive, send)

    def _is_open(self, scope: Scope) -> bool:
        """Tell whether a path is for everybody; in no network there is no pairing page."""
        return scope["path"] in self._open or (scope["path"] == PAIR and scope.get(NETWORK) is True)

    async def _person(self, token: str) -> Person | None:
        return await run_in_threadpool(self._find_person, token) if token else None

    def _watched(self, token: str, receive: Receive, send: Send) -> Receive:
        """Return a `receive` that hangs up when the session is over: a websocket outlives its cookie."""

        async def watched() -> Message:
            message = await receive()
            if message["type"] == "websocket.receive" and await self._person(token) is None:
                await send({"type": "websocket.close", "code": _SESSION_ENDED})
                return {"type": "websocket.disconnect", "code": _SESSION_ENDED}
            return message

        return watched


def _is_foreign(connection: HTTPConnection) -> bool:
    """Tell whether another site may have sent it: what changes something must say where it comes from.

    Browsers name the origin with everything but plain reading, and with every websocket.
    """
    if connection.scope["type"] == "http" and connection.scope["method"] in _READING_ONLY:
        return False
    origin, host = connection.headers.get("origin", ""), connection.headers.get("host", "")
    return not host or urlsplit(origin).netloc.lower() != host.lower()


def _refused() -> Response:
    error = "this was not sent by a page of Gearwitness: open Gearwitness itself and do it there"
    return JSONResponse({"error": error}, 403)


def _to_sign_in(connection: HTTPConnection) -> Response:
    """Send a browser that opens a page to the sign-in, and tell everything else that it may not."""
    scope = connection.scope
    if scope.get("method") == "GET" and "text/html" in connection.headers.get("accept", ""):
        wanted = scope["path"] + (f"?{scope['query_string'].decode('latin-1')}" * bool(scope["query_string"]))
        return RedirectResponse(f"{SIGN_IN}?{urlencode({'next': wanted})}", 303)
    return JSONResponse({"error": "nobody is signed in: sign in and do it again"}, 401)


async def answer_early(response: Response, scope: Scope, receive: Receive, send: Send) -> None:
    """Answer in the application's place: what is still being sent is read to its end first."""
    if scope["type"] == "http":
        with suppress(TooLong, ClientDisconnect):
            await read_body(Request(scope, receive), 0)
        await response(scope, receive, send)
    elif "websocket.http.response" in scope.get("extensions", {}):
        await WebSocket(scope, receive, send).send_denial_response(response)
    else:
        await WebSocket(scope, receive, send).close(_SESSION_ENDED)
