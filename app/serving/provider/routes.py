"""The routes of signing in by a provider, of linking an account, and of ending a link.

/sign-in/provider         off to the provider, with a state that only this browser brings back
/sign-in/provider/back    where the provider sends the browser; goes on by itself to
/sign-in/provider/finish  the code becomes a session, or the question whose account this is
/sign-in/provider/link    the person's answer, by his password
/identities               which accounts are linked
"""

import secrets
from dataclasses import dataclass
from typing import TYPE_CHECKING
from urllib.parse import parse_qsl

from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from app.errors import InspectionError, NotAllowed, TooManyTries
from app.inspection.ports import Clock
from app.people import People, Person
from app.people.links_model import Identity
from app.serving.answers import ask
from app.serving.bodies import TooLong, read_body
from app.serving.gate import PROVIDER, PROVIDER_BACK, PROVIDER_FINISH, PROVIDER_LINK, device_of, person_of
from app.serving.provider.pages import Shown, bounce_page, link_page, links_page
from app.serving.provider.waiting import LASTS, Waiting
from app.serving.sign_in import SignIn, keep_session, local_path, sentence

if TYPE_CHECKING:  # its libraries come with the extra `shop`
    from app.serving.provider.client import Begun, Provider

_LONGEST_FORM = 10_000
_LONGEST_ANSWER = 8_000
_FRESH = {"Cache-Control": "no-store"}
_BROWSER = "gw_provider"
IDENTITIES = "/identities"


@dataclass(frozen=True)
class _UnderWay:
    """A sign-in that was begun, for one browser."""

    begun: "Begun"
    browser: str
    wanted: str


class ProviderRoutes:
    """The routes; `provider` is None where the shop has none: then only the list is there.

    What fails is told on the page of `sign_in`.
    """

    def __init__(
        self, people: People, session_hours: float, clock: Clock, provider: "Provider | None", sign_in: SignIn
    ) -> None:
        self._people = people
        self._sign_in = sign_in
        self._session_hours = session_hours
        self._provider = provider
        self._under_way: Waiting[_UnderWay] = Waiting(clock)
        self._unlinked: Waiting[Identity] = Waiting(clock)

    def routes(self) -> list[Route]:
        """Return the routes; those below the sign-in are open to everybody."""
        listed = [
            Route(IDENTITIES, self.show, methods=["GET"]),
            Route(f"{IDENTITIES}/{{link_id}}/end", self.end, methods=["POST"]),
        ]
        if self._provider is None:
            return listed
        return [
            *listed,
            Route(PROVIDER, self.begin, methods=["GET"]),
            Route(PROVIDER_BACK, self.back, methods=["GET"]),
            Route(PROVIDER_FINISH, self.finish, methods=["GET"]),
            Route(PROVIDER_LINK, self.link, methods=["POST"]),
        ]

    async def begin(self, request: Request) -> Response:
        """Send the browser to the provider."""
        assert self._provider is not None
        back = str(request.url.replace(path=PROVIDER_BACK, query="", fragment=""))
        wanted = local_path(request.query_params.get("next", ""))
        try:
            begun = await ask(self._provider.begin, back)
        except NotAllowed as error:
            return self._sign_in.complain(wanted, error)
        browser = secrets.token_urlsafe(32)
        self._under_way.put(_UnderWay(begun, browser, wanted), begun.state)
        answer = RedirectResponse(begun.url, 303, headers=_FRESH)
        answer.set_cookie(
            _BROWSER,
            browser,
            max_age=round(LASTS.total_seconds()),
            path=PROVIDER,
            secure=request.url.scheme == "https",
            httponly=True,
            samesite="strict",
        )
        return answer

    async def back(self, request: Request) -> Response:
        """Take the browser in from the provider's site, and go on from a page of ours."""
        onward = f"{PROVIDER_FINISH}?{request.url.query[:_LONGEST_ANSWER]}"
        return HTMLResponse(bounce_page(onward), headers={**_FRESH, "Referrer-Policy": "no-referrer"})

    async def finish(self, request: Request) -> Response:
        """Open a session for whose account it is, or ask."""
        assert self._provider is not None
        asked = request.query_params
        under_way = self._under_way.fetch(asked.get("state", ""))
        wanted = under_way.wanted if under_way else "/"
        try:
            if under_way is None or not secrets.compare_digest(
                under_way.browser.encode(), request.cookies.get(_BROWSER, "").encode("utf-8", "replace")
            ):
                msg = "This sign-in was not begun in this browser, is older than ten minutes or is done."
                raise NotAllowed(f"{msg} Begin again.")
            if "code" not in asked:
                msg = f"{self._provider.label} did not let you in: sign in with name and password."
                raise NotAllowed(msg)
            identity = await ask(self._provider.finish, under_way.begun, asked["code"], asked.get("iss", ""))
            token = await ask(self._people.sign_in_by_provider, identity, device_of(request))
        except NotAllowed as error:
            return self._sign_in.complain(wanted, error)
        if token is None:
            pending = self._unlinked.put(identity)
            return HTMLResponse(link_page(self._provider.label, pending, wanted), headers=_FRESH)
        return self._signed_in(request, token, wanted)

    async def link(self, request: Request) -> Response:
        """Link the account to whoever gives his name and password, and sign him in."""
        assert self._provider is not None
        try:
            form = dict(parse_qsl((await read_body(request, _LONGEST_FORM)).decode("utf-8", "replace")))
        except TooLong:
            return self._sign_in.complain("/", NotAllowed("That was too long: begin again."))
        wanted, pending = local_path(form.get("next", "")), form.get("pending", "")
        name = form.get("name", "").strip()
        identity = self._unlinked.look(pending)
        if identity is None:
            return self._sign_in.complain(
                wanted, NotAllowed("That took longer than ten minutes: begin again.")
            )
        try:
            token = await ask(self._linked, name, form.get("password", ""), identity, request)
        except InspectionError as error:
            status = 429 if isinstance(error, TooManyTries) else 401 if isinstance(error, NotAllowed) else 409
            page = link_page(self._provider.label, pending, wanted, name, sentence(error))
            return HTMLResponse(page, status, headers=_FRESH)
        self._unlinked.fetch(pending)
        return self._signed_in(request, token, wanted)

    def _linked(self, name: str, password: str, identity: Identity, request: Request) -> str:
        person = self._people.recognise(name, password)
        self._people.links.link(person, password, identity)
        return self._people.begin_session(person, device_of(request))

    def _signed_in(self, request: Request, token: str, wanted: str) -> Response:
        answer = RedirectResponse(wanted, 303, headers=_FRESH)
        keep_session(answer, token, self._session_hours, secure=request.url.scheme == "https")
        answer.delete_cookie(_BROWSER, path=PROVIDER, httponly=True, samesite="strict")
        return answer

    async def show(self, request: Request) -> Response:
        """Show the links."""
        return await self._list(person_of(request))

    async def end(self, request: Request) -> Response:
        """End a link."""
        person = person_of(request)
        try:
            await ask(self._people.links.end, person, request.path_params["link_id"])
        except InspectionError as error:
            return await self._list(person, told=sentence(error), status=409)
        return RedirectResponse(IDENTITIES, 303, headers=_FRESH)

    async def _list(self, person: Person, *, told: str = "", status: int = 200) -> Response:
        label = "" if self._provider is None else self._provider.label
        return HTMLResponse(links_page(await ask(self._shown, person), label, told), status, headers=_FRESH)

    def _shown(self, person: Person) -> list[Shown]:
        names = {one.id: one.name for one in self._people.everyone()}
        return [
            Shown(
                one.id,
                names[one.person_id],
                one.issuer,
                one.subject,
                one.linked_at,
                f"ended by {names[one.ended_by]} on {one.ended_at:%d %b %Y}" if one.ended_by else "",
            )
            for one in self._people.links.list_for(person)
        ]
