"""The outer gate of a server in the network: who comes from another machine shows a registered device.

It stands before the gate that asks for a session.  Open to a device that is not yet
registered are the pairing page and the health answer.
"""

import ipaddress
from collections.abc import Callable
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.requests import HTTPConnection
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from app.people.devices_model import Device
from app.serving.gate import DEVICE, HEALTH, NETWORK, PAIR, PROVIDER_BACK, SIGN_IN, answer_early, token_of

DEVICE_COOKIE = "gw_device"
# A browser that a provider sends back shows no cookie of ours yet: that page only goes on to the next one.
OPEN_TO_NEW = frozenset({PAIR, f"{SIGN_IN}/sign_in.css", HEALTH, PROVIDER_BACK})
Known = Callable[[str, str], Device | None]


class DeviceGate:
    """Pure ASGI middleware; `known` gives the device of a device's token and a session's."""

    def __init__(self, app: ASGIApp, known: Known) -> None:
        self._app = app
        self._known = known

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request or a websocket through, or answer in the application's place."""
        scope[NETWORK] = True
        if scope["type"] not in ("http", "websocket") or is_this_machine(scope):
            await self._app(scope, receive, send)
            return
        connection = HTTPConnection(scope)
        scope[DEVICE] = await self._device(connection)
        if scope[DEVICE] is None and scope["path"] not in OPEN_TO_NEW:
            await answer_early(_to_pair(connection), scope, receive, send)
            return
        if scope["type"] == "websocket":
            receive = self._watched(connection, receive, send)
        await self._app(scope, receive, send)

    async def _device(self, connection: HTTPConnection) -> Device | None:
        token = connection.cookies.get(DEVICE_COOKIE, "")
        return await run_in_threadpool(self._known, token, token_of(connection)) if token else None

    def _watched(self, connection: HTTPConnection, receive: Receive, send: Send) -> Receive:
        """Return a `receive` that hangs up on a device that was shut out meanwhile."""

        async def watched() -> Message:
            message = await receive()
            if message["type"] == "websocket.receive" and await self._device(connection) is None:
                await send({"type": "websocket.close", "code": 4401})
                return {"type": "websocket.disconnect", "code": 4401}
            return message

        return watched


def is_this_machine(scope: Scope) -> bool:
    """Tell whether a request comes from the machine that serves."""
    client = scope.get("client")
    try:
        found = ipaddress.ip_address(client[0]) if client else None
    except ValueError:
        return False
    if isinstance(found, ipaddress.IPv6Address) and found.ipv4_mapped is not None:
        return found.ipv4_mapped.is_loopback
    return found is not None and found.is_loopback


def _to_pair(connection: HTTPConnection) -> Response:
    scope = connection.scope
    if scope.get("method") == "GET" and "text/html" in connection.headers.get("accept", ""):
        return RedirectResponse(f"{PAIR}?{urlencode({'new': '1'})}", 303)
    return JSONResponse({"error": "this device is not registered: scan the code at the desk"}, 401)
