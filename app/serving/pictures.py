"""Pictures out of the archive, to the people who may see them.

Each is named by the hash of its bytes, so what a browser has kept never grows old.
"""

from collections.abc import Callable

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from app.errors import NotAllowed
from app.inspection.model import Person
from app.inspection.ports import Photos
from app.inspection.service import Inspections
from app.practice import photo_of
from app.serving.answers import ask, problem
from app.serving.derived import Derived
from app.serving.gate import person_of
from vision.errors import GearwitnessError, PhotoError, RegionError
from vision.overlay import tiles
from vision.overlay.thumbnail import thumbnail

_KEPT = {"Cache-Control": "private, max-age=31536000, immutable"}
_KINDS = ((b"\xff\xd8", 0, "image/jpeg"), (b"\x89PNG", 0, "image/png"), (b"ftyp", 4, "image/heic"))
_TILE = ("x", "y", "w", "h", "out")
THUMB = "thumb-240"
"""Their folder's name; another size is another name."""
MaySee = Callable[[Person, str], bool]


class Pictures:
    """The routes of originals, their pieces, and annotated copies."""

    def __init__(self, inspections: Inspections, photos: Photos, derived: Derived) -> None:
        self._inspections = inspections
        self._photos = photos
        self._derived = derived

    def routes(self) -> list[Route]:
        """Return the routes."""
        return [
            Route("/photos/{sha}/facts", self.facts, methods=["GET"]),
            Route("/photos/{sha}/tile", self.tile, methods=["GET"]),
            Route("/photos/{sha}/thumb", self.thumb, methods=["GET"]),
            Route("/photos/{sha}/original", self.original, methods=["GET"]),
            Route("/annotated/{sha}", self.annotated, methods=["GET"]),
        ]

    async def facts(self, request: Request) -> Response:
        """Tell the size of the upright photo, px."""
        data = await self._photo(request)
        try:
            width, height = await ask(tiles.facts, data)
        except PhotoError as error:
            return problem(415, str(error))
        return JSONResponse({"width": width, "height": height}, headers=_KEPT)

    async def tile(self, request: Request) -> Response:
        """Give a piece of the upright photo: x, y, w, h in its px, `out` px on the longer side."""
        try:
            numbers = [_whole(request, name) for name in _TILE]
        except ValueError as error:
            return problem(400, str(error))
        data = await self._photo(request)
        try:
            piece = await ask(tiles.tile, data, *numbers)
        except RegionError as error:
            return problem(400, str(error))
        except GearwitnessError as error:
            return problem(415, str(error))
        return Response(piece, media_type="image/jpeg", headers=_KEPT)

    async def thumb(self, request: Request) -> Response:
        """Give the upright photo made small, for a list."""
        sha = await self._permitted(request, self._inspections.may_see_photo)
        try:
            small = await ask(self._derived.get, sha, THUMB, lambda: thumbnail(self._photos.get(sha)))
        except PhotoError as error:
            return problem(415, str(error))
        return Response(small, media_type="image/jpeg", headers=_KEPT)

    async def original(self, request: Request) -> Response:
        """Give the bytes as they arrived."""
        data = await self._photo(request)
        kind = next((name for mark, at, name in _KINDS if data.startswith(mark, at)), None)
        return Response(data, media_type=kind or "application/octet-stream", headers=_KEPT)

    async def annotated(self, request: Request) -> Response:
        """Give the annotated copy, to whoever can no longer be led by it."""
        data = await self._seen(request, self._inspections.may_see_annotated)
        return Response(data, media_type="image/jpeg", headers=_KEPT)

    async def _photo(self, request: Request) -> bytes:
        return await self._seen(request, self._inspections.may_see_photo)

    async def _seen(self, request: Request, may_see: MaySee) -> bytes:
        if may_see == self._inspections.may_see_photo:
            # A scene to practise on is nobody's work, so everybody who is signed in may see it.
            scene = await ask(photo_of, str(request.path_params["sha"]))
            if scene is not None:
                return scene
        return await ask(self._photos.get, await self._permitted(request, may_see))

    async def _permitted(self, request: Request, may_see: MaySee) -> str:
        sha, person = str(request.path_params["sha"]), person_of(request)
        if may_see == self._inspections.may_see_photo and await ask(
            self._inspections.has_gathered, person, sha
        ):
            return sha
        if not await ask(may_see, person, sha):
            # The same for what is not there: whether it is, is none of this person's business.
            msg = "this picture is not for you to see, or not yet: place your own points first"
            raise NotAllowed(msg)
        return sha


def _whole(request: Request, name: str) -> int:
    text = request.query_params.get(name, "")
    if not (text.isascii() and text.removeprefix("-").isdecimal() and len(text) < 10):
        msg = f"a tile is asked for with whole numbers {', '.join(_TILE)}: {name} is {text[:20]!r}"
        raise ValueError(msg)
    return int(text)
