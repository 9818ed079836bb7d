"""An OpenID Connect provider in a process of its own, on this machine only: `oidc-provider-mock`, built on Authlib.

It lets in whoever names himself; what it checks is the protocol: client, address to go back to, code, PKCE.
"""

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import requests

from tests.services.ports import end_with_parent, free_port, wait_for


@dataclass(frozen=True)
class RealProvider:
    """A provider that runs, with the client that was registered there."""

    issuer: str
    client_id: str
    secret: str

    def let_in(self, url: str, subject: str) -> str:
        """Answer its page as a person does; return where it sends the browser."""
        answer = requests.post(url, data={"sub": subject}, allow_redirects=False, timeout=10)
        assert answer.status_code == 302, answer.text
        return answer.headers["location"]

    def turn_away(self, url: str) -> str:
        """Say no on its page; return where it sends the browser."""
        answer = requests.post(url, data={"action": "deny"}, allow_redirects=False, timeout=10)
        assert answer.status_code == 302, answer.text
        return answer.headers["location"]


@contextmanager
def provider(back: str) -> Iterator[RealProvider]:
    """Run one, with a client whose browsers it sends back to this address."""
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "oidc_provider_mock", "--port", str(port), "--require-registration", "true"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        preexec_fn=end_with_parent,  # noqa: PLW1509 - one call
    )
    # Another site than 127.0.0.1, where the tests' server is: a browser then sends no strict cookie back from it.
    issuer = f"http://localhost:{port}"
    try:
        assert wait_for(port)
        yield RealProvider(issuer, *_registered(issuer, back))
    finally:
        process.kill()
        process.wait(30)


def _registered(issuer: str, back: str) -> tuple[str, str]:
    told = requests.post(f"{issuer}/oauth2/clients", json={"redirect_uris": [back]}, timeout=10).json()
    return told["client_id"], told["client_secret"]


def onward(page: str) -> str:
    """Return where a page goes on to by itself, as a browser reads it."""
    found = re.search(r'http-equiv="refresh" content="0;url=([^"]+)"', page)
    assert found is not None, page
    return found.group(1).replace("&amp;", "&")
