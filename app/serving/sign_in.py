"""Signing in and out: a form, a session, a cookie that no script can read and no other site can send."""

from importlib.resources import files
from urllib.parse import parse_qsl, urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response
from starlette.routing import Route

from app.errors import NotAllowed, TooManyTries
from app.people import People
from app.serving.bodies import TooLong, read_body
from app.serving.gate import COOKIE, SIGN_IN, device_of, token_of
from app.serving.sign_in_page import DemoPeople, page

_LONGEST_FORM = 10_000


class SignIn:
    """The routes of signing in and out; `provider` is what people call the shop's provider, if any."""

    def __init__(
        self, people: People, session_hours: float, demo: DemoPeople | None = None, provider: str = ""
    ) -> None:
        self._people = people
        self._provider = provider
        self._session_hours = session_hours
        self._demo = demo
        self._style = files("app.serving").joinpath("sign_in.css").read_text(encoding="utf-8")

    def routes(self) -> list[Route]:
        """Return the routes; all but the last are open to everybody (see `gate.OPEN_PATHS`)."""
        return [
            Route(SIGN_IN, self.show, methods=["GET"]),
            Route(SIGN_IN, self.sign_in, methods=["POST"]),
            Route(f"{SIGN_IN}/sign_in.css", self.style, methods=["GET"]),
            Route("/sign-out", self.sign_out, methods=["POST"]),
        ]

    async def show(self, request: Request) -> Response:
        """Show the form."""
        return self._page(local_path(request.query_params.get("next", "")))

    async def style(self, request: Request) -> Response:
        """Give the form's style sheet."""
        return Response(self._style, media_type="text/css", headers={"Cache-Control": "max-age=3600"})

    async def sign_in(self, request: Request) -> Response:
        """Open a session for whoever gives a name and its password, and send them where they wanted to go."""
        try:
            form = dict(parse_qsl((await read_body(request, _LONGEST_FORM)).decode("utf-8", "replace")))
        except TooLong:
            return self._page("/", complaint="That was too long: type your name and password.", status=413)
        wanted, name = local_path(form.get("next", "")), form.get("name", "").strip()
        try:
            token = await run_in_threadpool(
                self._people.sign_in, name, form.get("password", ""), device_of(request)
            )
        except NotAllowed as error:
            status = 429 if isinstance(error, TooManyTries) else 401
            return self._page(wanted, name=name, complaint=sentence(error), status=status)
        answer = RedirectResponse(wanted, 303)
        keep_session(answer, token, self._session_hours, secure=request.url.scheme == "https")
        return answer

    async def sign_out(self, request: Request) -> Response:
        """End the session here and in the browser."""
        await run_in_threadpool(self._people.sign_out, token_of(request))
        answer = RedirectResponse(SIGN_IN, 303)
        answer.delete_cookie(COOKIE, path="/", httponly=True, samesite="strict")
        return answer

    def complain(self, wanted: str, error: NotAllowed) -> Response:
        """Show the form with why another way in did not open."""
        return self._page(wanted, complaint=sentence(error), status=401)

    def _page(self, wanted: str, *, name: str = "", complaint: str = "", status: int = 200) -> Response:
        html = page(wanted, name=name, complaint=complaint, demo=self._demo, provider=self._provider)
        return HTMLResponse(html, status, headers={"Cache-Control": "no-store"})


def keep_session(answer: Response, token: str, hours: float, *, secure: bool) -> None:
    """Have the browser keep a session's token where no script reads it and no other site sends it."""
    answer.set_cookie(
        COOKIE,
        token,
        max_age=round(hours * 3600),
        path="/",
        secure=secure,
        httponly=True,
        samesite="strict",
    )


def local_path(wanted: str) -> str:
    """Return where to go after the sign-in: the path asked for, "/" for anything that is none of ours."""
    # A browser takes "//host", "/\\host" and control characters before either for another site's address.
    plain = wanted.startswith("/") and wanted.isprintable() and "\\" not in wanted
    if not plain or wanted.startswith("//") or urlsplit(wanted).path.rstrip("/") == SIGN_IN:
        return "/"
    return wanted


def sentence(error: Exception) -> str:
    """Return an error's words as a sentence that stands by itself."""
    text = str(error)
    return f"{text[:1].upper()}{text[1:]}{'' if text.endswith(('.', '?')) else '.'}"
