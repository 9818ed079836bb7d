"""All of it put together: the routes, the layers before them, and what refusals become."""

from collections.abc import Callable
from typing import Any

from starlette.middleware import Middleware
from starlette.middleware.trustedhost import TrustedHostMiddleware
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from app.bootstrap import House, is_loopback
from app.inspection import SystemClock
from app.serving.answers import refused
from app.serving.bodies import PhotoBodies
from app.serving.compressed import CompressedFiles
from app.serving.derived import Derived
from app.serving.gate import HEALTH, PROVIDER_PATHS, Gate
from app.serving.gathering import Gathered
from app.serving.headers import SafeHeaders
from app.serving.lan.devices import DeviceRoutes
from app.serving.lan.gate import DeviceGate
from app.serving.lan.network import network_of
from app.serving.pictures import Pictures
from app.serving.provider.routes import ProviderRoutes
from app.serving.provider.set_up import provider_of
from app.serving.search_pictures import SearchPictures
from app.serving.sign_in import SignIn
from app.serving.sign_in_page import DemoPeople
from app.serving.uploads import Uploads
from vision.errors import GearwitnessError

HANDLERS: dict[Any, Callable[..., Any]] = {GearwitnessError: refused}
"""What becomes of errors that say in a sentence what was wrong."""


def routes(house: House) -> list[Route]:
    """Return the routes beside Streamlit's own."""
    settings, demo = house.settings, house.demo

    async def health(request: Request) -> Response:
        filled = {} if demo is None else {"demo": demo.progress}
        return JSONResponse({"status": "ok", **filled}, headers={"Cache-Control": "no-store"})

    bodies = PhotoBodies(settings.largest_upload_mb)
    people = None if demo is None else DemoPeople(demo.names, demo.password)
    provider = provider_of(settings)
    sign_in = SignIn(house.people, settings.session_hours, people, "" if provider is None else provider.label)
    return [
        Route(HEALTH, health, methods=["GET"]),
        *sign_in.routes(),
        *ProviderRoutes(house.people, settings.session_hours, SystemClock(), provider, sign_in).routes(),
        *DeviceRoutes(
            house.people, settings.session_hours, network_of(settings) if settings.lan else None
        ).routes(),
        *Uploads(house.inspections, house.jobs, bodies).routes(),
        *Gathered(house.inspections, bodies).routes(),
        *SearchPictures(house.inspections, house.archive.photos).routes(),
        *Pictures(house.inspections, house.archive.photos, Derived(settings.home / "derived")).routes(),
    ]


def layers(house: House) -> list[Middleware]:
    """Return what stands before every route, the outermost first."""
    before = [Middleware(SafeHeaders)]
    if house.settings.lan:
        before.append(Middleware(TrustedHostMiddleware, allowed_hosts=network_of(house.settings).hosts))
        before.append(Middleware(DeviceGate, house.people.devices.known))
    elif is_loopback(house.settings.address):
        # A foreign name that was made to point to this machine is not served.
        before.append(Middleware(TrustedHostMiddleware, allowed_hosts=["127.0.0.1", "localhost"]))
    open_too = PROVIDER_PATHS if house.settings.oidc_issuer else frozenset()
    return [*before, Middleware(Gate, house.people.person_of, open_too), Middleware(CompressedFiles)]
