"""What the service refuses, as answers over HTTP: a status and a sentence."""

from collections.abc import Callable
from typing import TypeVar

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from app.errors import ArchiveError, Conflict, NotAllowed, NotFound, TooManyTries
from vision.errors import GearwitnessError

T = TypeVar("T")
_STATUS: tuple[tuple[type[GearwitnessError], int], ...] = (
    (TooManyTries, 429),
    (NotAllowed, 403),
    (NotFound, 404),
    (Conflict, 409),
    (ArchiveError, 500),
)


def problem(status: int, text: str) -> Response:
    """Return an answer that says in a sentence what was wrong and what to do."""
    return JSONResponse({"error": text}, status)


async def refused(request: Request, error: Exception) -> Response:
    """Answer what was raised on purpose (an exception handler of the application)."""
    status = next((number for kind, number in _STATUS if isinstance(error, kind)), 400)
    return problem(status, str(error))


async def ask(act: Callable[..., T], *arguments: object) -> T:
    """Call the service, which waits for the disk, in a thread of its own."""
    return await run_in_threadpool(act, *arguments)
