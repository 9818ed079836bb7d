"""A provider that answers by the protocol except in one point, which a test chooses; over real HTTP, in a thread.

A provider made for tests is honest; what a client has to refuse, none of them says.
"""

import json
import time
from base64 import urlsafe_b64encode
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread
from typing import Any
from urllib.parse import parse_qsl

from joserfc import jwt
from joserfc.jwk import OctKey, RSAKey

CLIENT, SECRET = "hangar", "only-for-the-tests, long enough to sign with"
KEY = RSAKey.generate_key(2048, {"kid": "first", "use": "sig"})
ANOTHER_KEY = RSAKey.generate_key(2048, {"kid": "first", "use": "sig"})


@dataclass
class Crooked:
    """What it says; `claims` and `answer` get what an honest provider would say, and return what is said."""

    issuer: str = ""
    nonce: str = ""
    subject: str = "248289761001"
    claims: Callable[[dict[str, Any]], dict[str, Any]] = field(default=lambda claims: claims)
    answer: Callable[[dict[str, Any]], dict[str, Any]] = field(default=lambda answer: answer)
    described: Callable[[dict[str, Any]], dict[str, Any]] = field(default=lambda described: described)
    signed_by: str = "RS256"
    status: int = 200
    asked: list[dict[str, str]] = field(default_factory=list)

    def description(self) -> dict[str, Any]:
        """Say what it is."""
        here = self.issuer
        return self.described(
            {
                "issuer": here,
                "authorization_endpoint": f"{here}/authorize",
                "token_endpoint": f"{here}/token",
                "jwks_uri": f"{here}/keys",
            }
        )

    def token(self) -> dict[str, Any]:
        """Answer to a code."""
        now = int(time.time())
        honest = {
            "iss": self.issuer, "sub": self.subject, "aud": CLIENT, "iat": now, "exp": now + 300, "nonce": self.nonce,
        }  # fmt: skip
        said = self.claims(honest)
        if self.signed_by == "nobody":
            told = f"{_part({'alg': 'none'})}.{_part(said)}."  # RFC 7519, 6: an unsecured JWT
        elif self.signed_by == "the secret":
            told = jwt.encode({"alg": "HS256"}, said, OctKey.import_key(SECRET), algorithms=["HS256"])
        else:
            key = ANOTHER_KEY if self.signed_by == "another key" else KEY
            told = jwt.encode({"alg": "RS256", "kid": "first"}, said, key)
        return self.answer({"access_token": "of no use", "token_type": "Bearer", "id_token": told})


def _part(what: dict[str, Any]) -> str:
    return urlsafe_b64encode(json.dumps(what).encode()).rstrip(b"=").decode()


@contextmanager
def crooked_provider() -> Iterator[Crooked]:
    """Run one."""
    told = Crooked()

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            keys = {"keys": [KEY.as_dict(private=False)]}
            self._say(told.description() if self.path.startswith("/.well-known") else keys)

        def do_POST(self) -> None:
            length = int(self.headers["content-length"])
            told.asked.append(dict(parse_qsl(self.rfile.read(length).decode())))
            self._say(told.token())

        def _say(self, what: dict[str, Any]) -> None:
            body = json.dumps(what).encode()
            self.send_response(told.status)
            self.send_header("content-type", "application/json")
            self.send_header("content-length", str(len(body)))
            self.end_headers()
            self.wfile.write(body)

        def log_message(self, format: str, *args: Any) -> None: ...

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    told.issuer = f"http://127.0.0.1:{server.server_port}"
    Thread(target=server.serve_forever, args=[0.02], daemon=True).start()
    try:
        yield told
    finally:
        server.shutdown()
        server.server_close()
