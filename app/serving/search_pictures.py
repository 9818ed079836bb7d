"""Pictures of a searched photo, to who has marked it bare: a place, a whole hose, a surface's region.

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
from vision.overlay.surface_place import region_shown

_KEPT = {"Cache-Control": "private, max-age=3600"}


class SearchPictures:
    """The routes of places in the photo, on the straight hose and in a region, of whole hoses and regions."""

    def __init__(self, inspections: Inspections, photos: Photos) -> None:
        self._inspections = inspections
        self._photos = photos

    def routes(self) -> list[Route]:
        """Return the routes."""
        return [
            Route("/hoses/{try_id}/photo/{place}", self.in_photo, methods=["GET"]),
            Route("/surfaces/{try_id}/photo/{place}", self.in_photo, methods=["GET"]),
            Route("/hoses/{try_id}/straight/{place}", self.on_straight, methods=["GET"]),
            Route("/hoses/{try_id}/length/{hose}", self.length, methods=["GET"]),
            Route("/surfaces/{try_id}/where/{place}", self.in_region, methods=["GET"]),
            Route("/surfaces/{try_id}/region", self.region, methods=["GET"]),
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

    async def in_region(self, request: Request) -> Response:
        """Give the region of a surface with a place on it ringed."""
        return await ask(self._in_region, request)

    async def region(self, request: Request) -> Response:
        """Give the region of a surface, crossed where it was not searched."""
        return await ask(self._region, request)

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

    def _in_region(self, request: Request) -> Response:
        path = request.path_params
        shown = self._inspections.place_shown(person_of(request), path["try_id"], path["place"])
        if shown.surface is None:
            msg = "no region was searched on this photo, so none can be shown: look at the photo"
            raise NotFound(msg)
        return _picture(region_shown(self._photos.get(shown.photo), shown.surface, shown.outline_px))

    def _region(self, request: Request) -> Response:
        shown = self._inspections.surface_shown(person_of(request), request.path_params["try_id"])
        if shown.surface is None:
            msg = "no region was searched on this photo, so none can be shown: look at the photo"
            raise NotFound(msg)
        return _picture(region_shown(self._photos.get(shown.photo), shown.surface))


def _lines(request: Request) -> bool:
    return request.query_params.get("lines") == "1"


def _picture(data: bytes) -> Response:
    return Response(data, media_type="image/jpeg", headers=_KEPT)
