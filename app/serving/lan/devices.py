"""The routes of pairing a phone, of the list of devices, and of shutting one out."""

from urllib.parse import parse_qsl

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from app.errors import InspectionError, NotAllowed, TooManyTries, UsageError
from app.people import People, Person
from app.people.devices_model import Device, PairingCode
from app.serving.answers import ask
from app.serving.bodies import TooLong, read_body
from app.serving.gate import PAIR, person_of
from app.serving.lan.gate import DEVICE_COOKIE
from app.serving.lan.network import DEVICES, Network
from app.serving.lan.pages import Shown, ShownCode, devices_page, pair_page
from app.serving.lan.qr import page_qr
from app.serving.sign_in import keep_session, sentence

_LONGEST_FORM = 10_000
_FRESH = {"Cache-Control": "no-store"}


class DeviceRoutes:
    """The routes; `network` is None where only this machine reaches the server."""

    def __init__(self, people: People, session_hours: float, network: Network | None) -> None:
        self._people = people
        self._session_hours = session_hours
        self._network = network

    def routes(self) -> list[Route]:
        """Return the routes; pairing is there only where there is a network."""
        listed = [
            Route(DEVICES, self.show, methods=["GET"]),
            Route(f"{DEVICES}/{{device_id}}/end", self.end, methods=["POST"]),
        ]
        if self._network is None:
            return listed
        return [
            *listed,
            Route(f"{DEVICES}/code", self.code, methods=["POST"]),
            Route(PAIR, self.ask_to_pair, methods=["GET"]),
            Route(PAIR, self.pair, methods=["POST"]),
        ]

    async def show(self, request: Request) -> Response:
        """Show the devices."""
        return await self._list(person_of(request))

    async def code(self, request: Request) -> Response:
        """Show a new code to whoever is signed in."""
        return await self._list(person_of(request), self._people.devices.new_code())

    async def end(self, request: Request) -> Response:
        """Shut a device out."""
        person = person_of(request)
        try:
            await ask(self._people.devices.revoke, person, request.path_params["device_id"])
        except InspectionError as error:
            return await self._list(person, told=sentence(error), status=409)
        return RedirectResponse(DEVICES, 303, headers=_FRESH)

    async def ask_to_pair(self, request: Request) -> Response:
        """Show the form to a phone that scanned the code, or was sent here."""
        return HTMLResponse(pair_page(request.query_params.get("code", "")[:40]), headers=_FRESH)

    async def pair(self, request: Request) -> Response:
        """Register the phone for whoever signs in on it, and sign him in."""
        try:
            form = dict(parse_qsl((await read_body(request, _LONGEST_FORM)).decode("utf-8", "replace")))
        except TooLong:
            return HTMLResponse(pair_page(complaint="That was too long: type it again."), 413, headers=_FRESH)
        code, device, name = (form.get(one, "").strip() for one in ("code", "device", "name"))
        try:
            registered, key, session = await ask(
                self._registered, code, device, name, form.get("password", "")
            )
        except (NotAllowed, UsageError) as error:
            status = 429 if isinstance(error, TooManyTries) else 401 if isinstance(error, NotAllowed) else 400
            page = pair_page(code, device, name, sentence(error))
            return HTMLResponse(page, status, headers=_FRESH)
        answer = RedirectResponse("/", 303, headers=_FRESH)
        lasts = registered.expires_at - registered.registered_at
        answer.set_cookie(
            DEVICE_COOKIE,
            key,
            max_age=round(lasts.total_seconds()),
            path="/",
            secure=True,
            httponly=True,
            samesite="strict",
        )
        keep_session(answer, session, self._session_hours, secure=True)
        return answer

    def _registered(self, code: str, device: str, name: str, password: str) -> tuple[Device, str, str]:
        devices = self._people.devices
        # The code first: without one nobody tries passwords here.
        devices.require_code(code)
        person = self._people.recognise(name, password)
        registered, key = devices.register(code, person, device)
        return registered, key, self._people.begin_session(person, registered)

    async def _list(
        self, person: Person, code: PairingCode | None = None, *, told: str = "", status: int = 200
    ) -> Response:
        shown = await ask(self._shown, person)
        network = self._network
        page = devices_page(
            shown,
            None if code is None or network is None else _shown_code(code, network),
            network=network is not None,
            told=told,
        )
        return HTMLResponse(page, status, headers=_FRESH)

    def _shown(self, person: Person) -> list[Shown]:
        devices = self._people.devices
        seen, names = devices.last_seen(), {one.id: one.name for one in self._people.everyone()}
        return [
            Shown(
                one.id,
                one.name,
                names[one.person_id],
                one.registered_at,
                one.expires_at,
                seen.get(one.id),
                _state(one, names, in_use=devices.is_in_use(one)),
                one.ended_at is None,
            )
            for one in devices.list_for(person)
        ]


def _state(device: Device, names: dict[str, str], *, in_use: bool) -> str:
    if device.ended_at is not None:
        by = names[device.ended_by] if device.ended_by else "nobody"
        return f"shut out by {by} on {device.ended_at:%d %b %Y}"
    return "in use" if in_use else "no longer counts: register it anew"


def _shown_code(code: PairingCode, network: Network) -> ShownCode:
    certificate = network.certificate
    return ShownCode(
        code.spaced,
        f"{network.url}{PAIR}",
        code.expires_at,
        page_qr(network.pairing_url(code)),
        certificate.fingerprint,
        certificate.until,
        network.is_own,
    )
