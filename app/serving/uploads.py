"""Photos into the archive: a route of its own, because Streamlit's uploader loses what is picked while
the websocket is down, without a word.

The sender tries again until it is answered, so the same bytes again are the same
photo, and an answer of 200 means that the file and its row are on the disk.
"""

from urllib.parse import unquote

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from app.inspection.model import Try, TryState
from app.inspection.ports import Jobs
from app.inspection.rounds.search_rules import awaits_points
from app.inspection.service import Inspections
from app.serving.answers import ask
from app.serving.bodies import PhotoBodies
from app.serving.gate import person_of

_TO_MEASURE = (TryState.STORED, TryState.MEASURING)
_NOT_MEASURED = (TryState.AWAITING_PHOTO, *_TO_MEASURE)
_LONGEST_NAME = 200


class Uploads:
    """The routes of one try's photo; the draft's id is the try's."""

    def __init__(self, inspections: Inspections, jobs: Jobs, bodies: PhotoBodies) -> None:
        self._inspections = inspections
        self._jobs = jobs
        self._bodies = bodies

    def routes(self) -> list[Route]:
        """Return the routes."""
        return [
            Route("/drafts/{try_id}/photo", self.put_photo, methods=["PUT"]),
            Route("/drafts/{try_id}", self.state, methods=["GET"]),
        ]

    async def put_photo(self, request: Request) -> Response:
        """Take the photo's bytes, as they are, and have them measured."""
        data = await self._bodies.received(request)
        if isinstance(data, Response):
            return data
        person, try_id = person_of(request), request.path_params["try_id"]
        await ask(self._inspections.try_of, person, try_id)  # a stranger is refused before any work
        refused = await self._bodies.refused(data)
        if refused is not None:
            return refused
        name = file_name(request.headers.get("x-file-name", ""))
        stored = await ask(self._inspections.photo_arrived, person, try_id, data, name)
        if stored.state in _TO_MEASURE and not awaits_points(stored):
            self._jobs.submit(stored.id)
        return JSONResponse({"sha256": stored.photo, "bytes": len(data)})

    async def state(self, request: Request) -> Response:
        """Tell how far a try is; nothing of its result is in it."""
        this = await ask(self._inspections.try_of, person_of(request), request.path_params["try_id"])
        before = await ask(self._jobs.before, this.id) if this.state in _TO_MEASURE else None
        return JSONResponse(_told(this, before), headers={"Cache-Control": "no-store"})


def _told(this: Try, before: int | None) -> dict[str, object]:
    return {
        "before": before,
        "state": this.state.value,
        "stage": this.stage,
        "result_ready": this.state not in _NOT_MEASURED,
        "sha256": this.photo,
    }


def file_name(header: str) -> str:
    """Return the file's name on the phone, without folders and without what does not print."""
    name = unquote(header).replace("\\", "/").rpartition("/")[2]
    return "".join(letter for letter in name if letter.isprintable())[:_LONGEST_NAME]
