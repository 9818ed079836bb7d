"""What a provider's answer has to fit: OpenID Connect Core 1.0, 3.1.3.7; Discovery 1.0, 4.3; RFC 7636; RFC 9207."""

import hashlib
from base64 import urlsafe_b64encode
from collections.abc import Iterator
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest

from app.errors import NotAllowed
from app.people.links_model import Identity
from app.serving.provider.client import Begun, Provider
from tests.services.crooked_provider import CLIENT, SECRET, Crooked, crooked_provider

BACK = "http://127.0.0.1:8501/sign-in/provider/back"


@pytest.fixture
def crooked() -> Iterator[Crooked]:
    with crooked_provider() as running:
        yield running


def begun(crooked: Crooked) -> tuple[Provider, Begun]:
    provider = Provider(crooked.issuer, CLIENT, SECRET, "The shop")
    made = provider.begin(BACK)
    crooked.nonce = made.nonce
    return provider, made


def test_an_answer_that_fits_names_issuer_and_subject(crooked: Crooked) -> None:
    provider, made = begun(crooked)
    assert provider.finish(made, "a code", crooked.issuer) == Identity(crooked.issuer, "248289761001")


def test_the_request_asks_for_a_code_with_state_nonce_and_a_hashed_verifier(crooked: Crooked) -> None:
    provider, made = begun(crooked)
    asked = {name: one for name, (one,) in parse_qs(urlsplit(made.url).query).items()}
    hashed = urlsafe_b64encode(hashlib.sha256(made.verifier.encode()).digest()).rstrip(b"=").decode()
    assert asked == {
        "response_type": "code", "client_id": CLIENT, "redirect_uri": BACK, "scope": "openid",
        "state": made.state, "nonce": made.nonce, "code_challenge": hashed, "code_challenge_method": "S256",
    }  # fmt: skip
    assert made.url.startswith(f"{crooked.issuer}/authorize?")
    provider.finish(made, "a code")
    (sent,) = crooked.asked
    assert (sent["code"], sent["code_verifier"], sent["redirect_uri"]) == ("a code", made.verifier, BACK)
    assert SECRET not in str(sent)  # it goes in the header that is made for it


def test_no_two_sign_ins_share_anything(crooked: Crooked) -> None:
    one, other = begun(crooked)[1], begun(crooked)[1]
    for name in ("state", "nonce", "verifier"):
        assert getattr(one, name) != getattr(other, name)
        assert len(getattr(one, name)) >= 43  # 32 random bytes; RFC 7636, 4.1: at least 43 characters


CLAIMS: dict[str, Any] = {
    "another issuer": {"iss": "https://elsewhere.example"},
    "another audience": {"aud": "another client"},
    "several audiences, another party": {"aud": [CLIENT, "other"], "azp": "other"},
    "another nonce": {"nonce": "of a sign-in before"},
    "expired": {"exp": 1_700_000_000, "iat": 1_699_999_000},
    "from the future": {"nbf": 4_000_000_000},
    "no subject": {"sub": None},
    "a subject that is no text": {"sub": 17},
    "a hash of another access token": {"at_hash": "77QmUPtjPfzWtF2AnpK9RQ"},  # the example of Core 1.0, A.3
}


@pytest.mark.parametrize("change", CLAIMS.values(), ids=CLAIMS)
def test_a_claim_that_does_not_fit_names_nobody(crooked: Crooked, change: dict[str, Any]) -> None:
    provider, made = begun(crooked)
    crooked.claims = lambda claims: {name: one for name, one in (claims | change).items() if one is not None}
    with pytest.raises(NotAllowed, match="The answer of The shop cannot be used, its ID token"):
        provider.finish(made, "a code")


@pytest.mark.parametrize("missing", ["iss", "sub", "aud", "exp", "iat", "nonce"])
def test_a_claim_that_is_missing_names_nobody(crooked: Crooked, missing: str) -> None:
    provider, made = begun(crooked)
    crooked.claims = lambda claims: {name: one for name, one in claims.items() if name != missing}
    with pytest.raises(NotAllowed, match="does not hold"):
        provider.finish(made, "a code")


@pytest.mark.parametrize("signer", ["nobody", "the secret", "another key"])
def test_a_token_not_signed_by_the_provider_s_own_key_names_nobody(crooked: Crooked, signer: str) -> None:
    provider, made = begun(crooked)
    crooked.signed_by = signer
    with pytest.raises(NotAllowed, match="does not hold"):
        provider.finish(made, "a code")


@pytest.mark.parametrize("told", [None, "", "a.b.c", {"sub": "x"}])
def test_an_answer_without_a_token_names_nobody(crooked: Crooked, told: object) -> None:
    provider, made = begun(crooked)
    crooked.answer = lambda answer: answer | {"id_token": told}
    with pytest.raises(NotAllowed, match="ID token"):
        provider.finish(made, "a code")


def test_a_code_that_is_refused_is_told(crooked: Crooked) -> None:
    provider, made = begun(crooked)
    crooked.status = 400
    crooked.answer = lambda answer: {"error": "invalid_grant"}
    with pytest.raises(NotAllowed, match="did not take the code"):
        provider.finish(made, "a code")


def test_an_answer_from_another_provider_is_refused_before_the_code_goes_out(crooked: Crooked) -> None:
    provider, made = begun(crooked)
    with pytest.raises(NotAllowed, match="came from another provider"):
        provider.finish(made, "a code", "https://elsewhere.example")
    assert crooked.asked == []


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"issuer": "https://elsewhere.example"}, "another address than the setting"),
        ({"token_endpoint": None}, "token_endpoint is missing or not by TLS"),
        ({"jwks_uri": "ftp://elsewhere.example/keys"}, "jwks_uri is missing or not by TLS"),
    ],
)
def test_a_description_that_cannot_be_trusted_begins_nothing(
    crooked: Crooked, change: dict[str, Any], told: str
) -> None:
    crooked.described = lambda described: described | change
    with pytest.raises(NotAllowed, match=told):
        begun(crooked)


def test_a_provider_that_is_down_or_says_no_json_is_told_and_asked_again(crooked: Crooked) -> None:
    provider = Provider(crooked.issuer, CLIENT, SECRET, "The shop")
    crooked.status = 503
    with pytest.raises(NotAllowed, match="The shop does not answer as it should"):
        provider.begin(BACK)
    crooked.status = 200
    assert provider.begin(BACK).url
    with pytest.raises(NotAllowed, match="does not answer"):
        Provider("http://127.0.0.1:9", CLIENT, SECRET).begin(BACK)


def test_no_message_tells_the_secret_or_the_code(crooked: Crooked) -> None:
    provider, made = begun(crooked)
    crooked.claims = lambda claims: claims | {"nonce": "x"}
    with pytest.raises(NotAllowed) as caught:
        provider.finish(made, "the-code-itself")
    assert SECRET not in str(caught.value)
    assert "the-code-itself" not in str(caught.value)


def test_where_it_is_reached_by_tls_everything_of_it_has_to_be(monkeypatch: pytest.MonkeyPatch) -> None:
    provider = Provider("https://shop.example", CLIENT, SECRET)
    described = {
        "issuer": "https://shop.example", "authorization_endpoint": "https://shop.example/a",
        "token_endpoint": "http://shop.example/t", "jwks_uri": "https://shop.example/k",
    }  # fmt: skip
    monkeypatch.setattr(provider, "_asked", lambda address: described)
    with pytest.raises(NotAllowed, match="token_endpoint is missing or not by TLS"):
        provider.begin(BACK)
