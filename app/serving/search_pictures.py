"""Pictures of a searched hose, to who has marked the bare photo: a place on it, and its whole length.

They are made when they are asked for, from the photo and the stored result.  One of a place is asked
for as often as a person looks at it, so the browser keeps it; a try's result never changes.
"""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from app.errors import NotFound
from app.inspection.ports import Photos
from app.inspection.service import Inspections
from app.serving.answers import ask
from app.serving.gate import person_of
from vision.overlay.hose_length import whole_length
from vision.overlay.hose_place import place_in_photo, place_on_straight

_KEPT = {"Cache-Control": "private, max-age=3600"}


class SearchPictures:
    """The routes of places in the photo and on the straight hose, and of whole hoses."""

    def __init__(self, inspections: Inspections, photos: Photos) -> None:
        self._inspections = inspections
        self._photos = photos

    def routes(self) -> list[Route]:
        """Return the routes."""
        return [
            Route("/hoses/{try_id}/photo/{place}", self.in_photo, methods=["GET"]),
            Route("/hoses/{try_id}/straight/{place}", self.on_straight, methods=["GET"]),
            Route("/hoses/{try_id}/length/{hose}", self.length, methods=["GET"]),
        ]

    async def in_photo(self, request: Request) -> Response:
        """Give the photo about a place, with a line about it where ``lines`` is 1."""
        return await ask(self._in_photo, request)

    async def on_straight(self, request: Request) -> Response:
        """Give the hose laid straight about a place, with a line about it where ``lines`` is 1."""
        return await ask(self._on_straight, request)

    async def length(self, request: Request) -> Response:
        """Give a whole hose laid straight, what was not searched hatched."""
        return await ask(self._length, request)

    def _in_photo(self, request: Request) -> Response:
        path = request.path_params
        shown = self._inspections.place_shown(person_of(request), path["try_id"], path["place"])
        photo = self._photos.get(shown.photo)
        return _picture(place_in_photo(photo, shown.hose, shown.outline_px, lines=_lines(request)))

    def _on_straight(self, request: Request) -> Response:
        path = request.path_params
        shown = self._inspections.place_shown(person_of(request), path["try_id"], path["place"])
        if shown.hose is None:
            msg = "no hose was found on this photo, so none can be laid straight: look at the photo"
            raise NotFound(msg)
        photo = self._photos.get(shown.photo)
        return _picture(place_on_straight(photo, shown.hose, shown.outline_px, lines=_lines(request)))

    def _length(self, request: Request) -> Response:
        path = request.path_params
        number = str(path["hose"])
        index = int(number) if number.isascii() and number.isdecimal() and len(number) < 4 else -1
        shown = self._inspections.hose_shown(person_of(request), path["try_id"], index)
        if shown.hose is None:
            msg = f"this photo has no hose {number[:20]}: take the number from its page"
            raise NotFound(msg)
        return _picture(whole_length(self._photos.get(shown.photo), shown.hose))


def _lines(request: Request) -> bool:
    return request.query_params.get("lines") == "1"


def _picture(data: bytes) -> Response:
    return Response(data, media_type="image/jpeg", headers=_KEPT)
