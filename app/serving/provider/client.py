"""The provider over HTTP: its own description, the code for a token, the token held to the rules.

Sources: OpenID Connect Core 1.0 (3.1.2.1 request, 3.1.3.7 ID token validation), OpenID
Connect Discovery 1.0 (4.3 issuer), RFC 7636 (PKCE), RFC 9207 (issuer in the answer).
The protocol's work is Authlib's and joserfc's; here stands what is asked of them.
"""

import secrets
import time
from dataclasses import dataclass
from threading import Lock
from typing import Any
from urllib.parse import urlsplit

import requests
from authlib.common.errors import AuthlibBaseError
from authlib.integrations.requests_client import OAuth2Session
from authlib.oidc.core import CodeIDToken
from joserfc import jwt
from joserfc.errors import JoseError
from joserfc.jwk import KeySet

from app.errors import NotAllowed
from app.people.links_model import Identity

# Signatures that the client's secret cannot make: who holds it must not be able to name anybody.
_SIGNED_BY = [
    "RS256",
    "RS384",
    "RS512",
    "PS256",
    "PS384",
    "PS512",
    "ES256",
    "ES384",
    "ES512",
    "EdDSA",
    "Ed25519",
]
_SECONDS = 10.0
_DESCRIPTION_LASTS = 3600.0
_CLOCKS_DIFFER = 60
"""Seconds by which two machines' clocks may differ."""

_RANDOM_BYTES = 32
_INSTEAD = "sign in with name and password, or begin again"


@dataclass(frozen=True)
class Begun:
    """A sign-in under way: where the browser goes, and what the answer has to fit."""

    url: str
    state: str
    nonce: str
    verifier: str
    back: str


class Provider:
    """One provider; its description is asked for when it is first needed, and again after an hour.

    Parameters
    ----------
    issuer : str
        Its address, exactly as it names itself.
    secret : str
        What the provider gave for this client; empty for a client without one.
    label : str
        What people call it.
    """

    def __init__(self, issuer: str, client_id: str, secret: str, label: str = "") -> None:
        self.issuer = issuer
        self.label = label or urlsplit(issuer).hostname or issuer
        self._client_id = client_id
        self._secret = secret
        self._one = Lock()
        self._description: dict[str, Any] = {}
        self._asked_at = -_DESCRIPTION_LASTS

    def begin(self, back: str) -> Begun:
        """Return where to send a browser that wants to sign in.

        Parameters
        ----------
        back : str
            The address of ours to which the provider sends it back.

        Raises
        ------
        NotAllowed
            The provider does not answer, or is not the one that it should be.
        """
        state, nonce, verifier = (secrets.token_urlsafe(_RANDOM_BYTES) for _ in range(3))
        with self._session(back) as session:
            url, _ = session.create_authorization_url(
                self._described()["authorization_endpoint"], state=state, nonce=nonce, code_verifier=verifier
            )
        return Begun(url, state, nonce, verifier, back)

    def finish(self, begun: Begun, code: str, issuer: str = "") -> Identity:
        """Return whom the provider vouches for.

        Parameters
        ----------
        code : str
            What the browser brought back.
        issuer : str
            Who the answer says that it is from, where it says so.

        Raises
        ------
        NotAllowed
            The provider does not answer or refuses the code, or its token does not fit what was asked.
        """
        if issuer and issuer != self.issuer:
            raise self._refused("the answer came from another provider")
        described = self._described()
        with self._session(begun.back) as session:
            try:
                answer = session.fetch_token(
                    described["token_endpoint"],
                    code=code,
                    code_verifier=begun.verifier,
                    grant_type="authorization_code",
                    timeout=_SECONDS,
                    allow_redirects=False,
                )
            except requests.RequestException as error:
                raise self._silent() from error
            except (AuthlibBaseError, ValueError) as error:
                raise self._refused("it did not take the code") from error
        return self._identity(answer, begun, described)

    def _identity(self, answer: dict[str, Any], begun: Begun, described: dict[str, Any]) -> Identity:
        """Return whom an ID token names, once it holds (OpenID Connect Core 1.0, 3.1.3.7)."""
        told = answer.get("id_token")
        if not isinstance(told, str):
            raise self._refused("it sent no ID token")
        keys = self._asked(described["jwks_uri"])
        try:
            token = jwt.decode(told, KeySet.import_key_set(keys), algorithms=_SIGNED_BY)  # type: ignore[arg-type]
            claims = CodeIDToken(
                token.claims,
                token.header,
                {"iss": {"values": [self.issuer]}, "aud": {"value": self._client_id}},
                {
                    "nonce": begun.nonce,
                    "client_id": self._client_id,
                    "access_token": answer.get("access_token"),
                },
            )
            claims.validate(now=int(time.time()), leeway=_CLOCKS_DIFFER)
        except (JoseError, AuthlibBaseError, ValueError, KeyError, TypeError) as error:
            raise self._refused(f"its ID token does not hold ({_fault(error)})") from error
        subject = token.claims["sub"]
        if not isinstance(subject, str):
            raise self._refused("its ID token names nobody")
        return Identity(self.issuer, subject)

    def _described(self) -> dict[str, Any]:
        """Return the provider's description of itself (Discovery 1.0)."""
        with self._one:
            if time.monotonic() - self._asked_at >= _DESCRIPTION_LASTS:
                found = self._asked(f"{self.issuer.rstrip('/')}/.well-known/openid-configuration")
                # Discovery 1.0, 4.3: exactly the issuer that was asked.
                if found.get("issuer") != self.issuer:
                    raise self._refused("it gives itself another address than the setting")
                for name in ("authorization_endpoint", "token_endpoint", "jwks_uri"):
                    self._require_safe(found.get(name), name)
                self._description, self._asked_at = found, time.monotonic()
            return self._description

    def _require_safe(self, address: object, name: str) -> None:
        # Where the provider is reached by TLS, everything of it is.
        scheme = f"{urlsplit(self.issuer).scheme}://"
        if not isinstance(address, str) or not address.startswith(("https://", scheme)):
            raise self._refused(f"its {name} is missing or not by TLS")

    def _asked(self, address: str) -> dict[str, Any]:
        try:
            answer = requests.get(address, timeout=_SECONDS, allow_redirects=False)
            answer.raise_for_status()
            found = answer.json()
        except requests.RequestException as error:  # what is no JSON is one too
            raise self._silent() from error
        if not isinstance(found, dict):
            raise self._silent()
        return found

    def _session(self, back: str) -> OAuth2Session:
        ways = self._described().get("token_endpoint_auth_methods_supported", ["client_secret_basic"])
        basic = "client_secret_basic" in ways or "client_secret_post" not in ways
        return OAuth2Session(
            self._client_id,
            self._secret or None,
            token_endpoint_auth_method=(
                ("client_secret_basic" if basic else "client_secret_post") if self._secret else "none"
            ),
            scope="openid",
            redirect_uri=back,
            code_challenge_method="S256",
        )

    def _silent(self) -> NotAllowed:
        return NotAllowed(f"{self.label} does not answer as it should: {_INSTEAD} in a while.")

    def _refused(self, why: str) -> NotAllowed:
        return NotAllowed(f"The answer of {self.label} cannot be used, {why}: {_INSTEAD}.")


def _fault(error: Exception) -> str:
    """Return which rule was broken, without anything that the token says."""
    claim = getattr(error, "claim", None)
    kind = str(getattr(error, "error", "") or type(error).__name__).replace("_", " ")
    return f"{kind}: {claim}" if claim else kind
