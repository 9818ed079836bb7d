"""Photos from a phone's gallery into the archive, before anybody has said of which leg they are.

The phone names each by its hash, so the same photo sent twice is one, and an answer
of 200 means that the file and its row are on the disk.
"""

from asyncio import Semaphore

from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from app.inspection.canonical import sha256
from app.inspection.service import Inspections
from app.serving.answers import ask, problem
from app.serving.bodies import TooLong, read_body
from app.serving.gate import person_of
from app.serving.uploads import file_name
from vision.errors import PhotoError
from vision.overlay import tiles


class Gathered:
    """The route of one aircraft's photos."""

    def __init__(self, inspections: Inspections, largest_mb: int) -> None:
        self._inspections = inspections
        self._largest_mb = largest_mb
        self._decoding = Semaphore(1)

    def routes(self) -> list[Route]:
        """Return the routes."""
        return [Route("/aircraft/{aircraft_id}/photos/{sha}", self.put_photo, methods=["PUT"])]

    async def put_photo(self, request: Request) -> Response:
        """Take a photo's bytes, as they are."""
        try:
            data = await read_body(request, self._largest_mb * 1_000_000)
        except ClientDisconnect:  # nobody hears this; the sender comes again
            return Response(status_code=400)
        except TooLong:
            too_long = f"the file has more than {self._largest_mb} MB"
            return problem(413, f"{too_long}: send the photo as the phone's camera stored it")
        found = sha256(data)
        if found != request.path_params["sha"]:
            # 408 has the sender try again: what came is not what was sent.
            return problem(408, "the photo did not arrive as it was sent: it is sent again")
        try:
            async with self._decoding:
                await ask(tiles.facts, data)
        except PhotoError as error:
            return problem(415, str(error))
        name = file_name(request.headers.get("x-file-name", ""))
        aircraft = request.path_params["aircraft_id"]
        kept = await ask(self._inspections.photo_gathered, person_of(request), aircraft, data, name)
        return JSONResponse({"sha256": kept.photo, "bytes": len(data)})
