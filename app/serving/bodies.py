"""Bodies of requests read up to a limit."""

from starlette.requests import Request

# A browser that is answered while it still sends loses the answer and tries again for ever, so
# what is too long is read to its end and thrown away, up to here.
_THROWN_AWAY = 1_000_000_000


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
