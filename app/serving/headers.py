"""What every answer tells the browser: load nothing from elsewhere, be in nobody's frame, guess no kinds."""

import re

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

# Streamlit writes styles and small scripts into its page, and runs compiled and blob code.
_POLICY = (
    "default-src 'self'; script-src 'self' 'unsafe-inline' 'unsafe-eval' blob:; "
    "style-src 'self' 'unsafe-inline'; img-src 'self' data: blob:; font-src 'self' data:; "
    "media-src 'self' data: blob:; worker-src 'self' blob:; connect-src 'self' data: blob:{websocket}; "
    "object-src 'none'; base-uri 'self'; form-action 'self'; frame-ancestors 'none'"
)
_HOST = re.compile(r"[A-Za-z0-9.:\[\]-]+")
_ALWAYS = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # Stricter ones make browsers hide the origin of our own forms, which the gate asks for.
    "Referrer-Policy": "same-origin",
}


class SafeHeaders:
    """Pure ASGI middleware that adds them to every answer over HTTP."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass everything on, with the headers added to what comes back."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        # Not every browser counts a websocket to the same host as 'self'.
        host = Headers(scope=scope).get("host", "")
        websocket = f" ws://{host} wss://{host}" if _HOST.fullmatch(host) else ""
        policy = _POLICY.format(websocket=websocket)

        async def send_safe(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in _ALWAYS.items():
                    headers.setdefault(name, value)
                headers.setdefault("Content-Security-Policy", policy)
            await send(message)

        await self._app(scope, receive, send_safe)
