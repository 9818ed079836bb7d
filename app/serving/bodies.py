"""Bodies of requests read up to a limit, and photos among them."""

from asyncio import Semaphore

from starlette.requests import ClientDisconnect, Request
from starlette.responses import Response

from app.serving.answers import ask, problem
from vision.errors import PhotoError
from vision.overlay import tiles

# A browser that is answered while it still sends loses the answer and tries again for ever, so
# what is too long is read to its end and thrown away, up to here.
_THROWN_AWAY = 1_000_000_000
_DECODED_AT_ONCE = 2


class TooLong(Exception):  # noqa: N818 - named for what the sender is told
    """The body is longer than it may be; it has been read to its end."""


async def read_body(request: Request, longest: int) -> bytes:
    """Return a request's body.

    Raises
    ------
    TooLong
        It has more than `longest` bytes.
    starlette.requests.ClientDisconnect
        The sender went away before its end.
    """
    kept, length = bytearray(), 0
    async for part in request.stream():
        length += len(part)
        if length <= longest:
            kept += part
        elif length > _THROWN_AWAY:
            break
        else:
            kept.clear()
    if length > longest:
        raise TooLong
    return bytes(kept)


class PhotoBodies:
    """Photos as they arrive, for all routes that take one.

    Decoding takes tens of megabytes a photo and many phones send at once, so only a few are decoded together.
    """

    def __init__(self, largest_mb: int) -> None:
        self._largest_mb = largest_mb
        self._decoding = Semaphore(_DECODED_AT_ONCE)

    async def received(self, request: Request) -> bytes | Response:
        """Return a photo's bytes as they were sent, or the answer that refuses them."""
        try:
            return await read_body(request, self._largest_mb * 1_000_000)
        except ClientDisconnect:  # nobody hears this; the sender comes again
            return Response(status_code=400)
        except TooLong:
            too_long = f"the file has more than {self._largest_mb} MB"
            return problem(413, f"{too_long}: send the photo as the phone's camera stored it")

    async def refused(self, data: bytes) -> Response | None:
        """Return the answer to bytes that are no photo; None where they are one."""
        try:
            async with self._decoding:
                await ask(tiles.facts, data)
        except PhotoError as error:
            return problem(415, str(error))
        return None
