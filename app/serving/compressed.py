"""Streamlit's own files go out compressed: a third of the bytes where the ramp's network is thin."""

from starlette.middleware.gzip import GZipMiddleware
from starlette.types import ASGIApp, Receive, Scope, Send

_FILES = "/static/"
_LEVEL = 6  # beyond it the bytes hardly shrink and the first page waits


class CompressedFiles:
    """Pure ASGI middleware that compresses the files of the page itself.

    Answers that hold what people entered are left as they are: compressing secrets
    beside what another can choose tells about them by its length.
    """

    def __init__(self, app: ASGIApp) -> None:
        self._app = app
        self._compressing = GZipMiddleware(app, minimum_size=1024, compresslevel=_LEVEL)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass everything on; what comes back for a file is compressed where the browser takes it."""
        is_file = scope["type"] == "http" and scope["path"].startswith(_FILES)
        await (self._compressing if is_file else self._app)(scope, receive, send)
