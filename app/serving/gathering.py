"""Photos from a phone's gallery into the archive, before anybody has said of which leg they are.

The phone names each by its hash, so the same photo sent twice is one, and an answer
of 200 means that the file and its row are on the disk.
"""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from app.inspection.canonical import sha256
from app.inspection.service import Inspections
from app.serving.answers import ask, problem
from app.serving.bodies import PhotoBodies
from app.serving.gate import person_of
from app.serving.uploads import file_name


class Gathered:
    """The route of one aircraft's photos."""

    def __init__(self, inspections: Inspections, bodies: PhotoBodies) -> None:
        self._inspections = inspections
        self._bodies = bodies

    def routes(self) -> list[Route]:
        """Return the routes."""
        return [Route("/aircraft/{aircraft_id}/photos/{sha}", self.put_photo, methods=["PUT"])]

    async def put_photo(self, request: Request) -> Response:
        """Take a photo's bytes, as they are."""
        data = await self._bodies.received(request)
        if isinstance(data, Response):
            return data
        found = sha256(data)
        if found != request.path_params["sha"]:
            # 408 has the sender try again: what came is not what was sent.
            return problem(408, "the photo did not arrive as it was sent: it is sent again")
        refused = await self._bodies.refused(data)
        if refused is not None:
            return refused
        name = file_name(request.headers.get("x-file-name", ""))
        aircraft = request.path_params["aircraft_id"]
        kept = await ask(self._inspections.photo_gathered, person_of(request), aircraft, data, name)
        return JSONResponse({"sha256": kept.photo, "bytes": len(data)})
