"""Signing in by a provider that runs as a process of its own: linked once, then one press."""

from collections.abc import Iterator
from typing import Any
from urllib.parse import urlsplit

import pytest
from starlette.testclient import TestClient

from app.errors import UsageError
from app.serving.gate import COOKIE, PROVIDER_PATHS
from app.serving.provider.set_up import provider_of
from app.settings import Settings, read
from tests.app.records_house import PASSWORD
from tests.app.serving.served import HOST, Served
from tests.services.provider import RealProvider, onward, provider

BACK = f"http://{HOST}/sign-in/provider/back"
RIGHT = {"name": "Mechanic", "password": PASSWORD}


@pytest.fixture(scope="module")
def shop() -> Iterator[RealProvider]:
    with provider(BACK) as running:
        yield running


@pytest.fixture
def client(served: Served, shop: RealProvider) -> TestClient:
    return with_provider(served, shop).browser()


def with_provider(served: Served, shop: RealProvider, **changed: Any) -> Served:
    told = {"oidc_issuer": shop.issuer, "oidc_client_id": shop.client_id, "oidc_client_secret": shop.secret}
    return served.with_settings(**told, oidc_label="The shop", **changed)


def sent_back(client: TestClient, shop: RealProvider, subject: str, wanted: str = "/") -> str:
    """Go to the provider, be let in, come back; return the page that the way back goes on to."""
    begun = client.get("/sign-in/provider", params={"next": wanted})
    assert begun.status_code == 303
    back = shop.let_in(begun.headers["location"], subject)
    assert back.startswith(BACK)
    return onward(client.get(back).text)


def pending(page: str) -> str:
    return page.partition('name="pending" value="')[2].partition('"')[0]


def link(client: TestClient, page: str, **form: str) -> Any:
    return client.post(
        "/sign-in/provider/link", data={"pending": pending(page), "next": "/queue"} | RIGHT | form
    )


def test_an_account_is_linked_once_and_then_signs_in_by_itself(
    client: TestClient, shop: RealProvider
) -> None:
    asked = client.get(sent_back(client, shop, "first", "/queue"))
    assert (asked.status_code, COOKIE in client.cookies) == (200, False)
    assert "You are signed in at The shop. Nobody here has linked that account" in asked.text
    linked = link(client, asked.text)
    assert (linked.status_code, linked.headers["location"]) == (303, "/queue")
    client.post("/sign-out")
    assert COOKIE not in client.cookies
    answer = client.get(sent_back(client, shop, "first", "/queue?x=1"))
    assert (answer.status_code, answer.headers["location"]) == (303, "/queue?x=1")
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert "first" in client.get("/identities").text


def test_the_sign_in_page_offers_it_with_where_one_wanted_to_go(client: TestClient) -> None:
    page = client.get("/sign-in", params={"next": "/queue"}).text
    assert '<a class="way" href="/sign-in/provider?next=%2Fqueue">Sign in with The shop</a>' in page


def test_a_wrong_password_links_nothing_and_the_account_may_be_tried_again(
    client: TestClient, shop: RealProvider
) -> None:
    page = client.get(sent_back(client, shop, "second")).text
    wrong = link(client, page, password="not it")
    assert (wrong.status_code, "Name or password is wrong" in wrong.text) == (401, True)
    assert link(client, wrong.text).status_code == 303
    assert link(client, page).status_code == 401  # it counts once


def test_another_s_account_is_not_linked_a_second_time(client: TestClient, shop: RealProvider) -> None:
    one, other = (client.get(sent_back(client, shop, "third")).text for _ in range(2))
    assert link(client, one).status_code == 303
    again = link(client, other, name="Inspector")
    assert (again.status_code, "is linked already" in again.text) == (409, True)


def test_an_answer_counts_once_and_in_the_browser_that_asked(served: Served, shop: RealProvider) -> None:
    shared = with_provider(served, shop)
    client = shared.browser()
    stranger = TestClient(client.app, f"http://{HOST}", follow_redirects=False)
    path = sent_back(client, shop, "fourth")
    begun_elsewhere = stranger.get(path)
    assert (begun_elsewhere.status_code, "not begun in this browser" in begun_elsewhere.text) == (401, True)
    path = sent_back(client, shop, "fourth")
    assert client.get(path).status_code == 200
    replayed = client.get(path)
    assert (replayed.status_code, "older than ten minutes or is done" in replayed.text) == (401, True)


@pytest.mark.parametrize("query", ["", "state=x&code=y", "code=y", "state=%ff&code=%00"])
def test_an_answer_that_nobody_asked_for_opens_nothing(client: TestClient, query: str) -> None:
    answer = client.get(f"/sign-in/provider/finish?{query}")
    assert (answer.status_code, COOKIE in client.cookies) == (401, False)


def test_a_code_that_was_made_up_is_not_taken(client: TestClient, shop: RealProvider) -> None:
    path = sent_back(client, shop, "fifth")
    state = path.partition("state=")[2].partition("&")[0]
    answer = client.get(f"/sign-in/provider/finish?state={state}&code=made-up")
    assert (answer.status_code, "did not take the code" in answer.text) == (401, True)


def test_who_says_no_at_the_provider_is_told_the_other_way_in(client: TestClient, shop: RealProvider) -> None:
    begun = client.get("/sign-in/provider")
    back = onward(
        client.get(shop.turn_away(begun.headers["location"]).replace("?", f"?state={state_of(begun)}&")).text
    )
    answer = client.get(back)
    assert (answer.status_code, "The shop did not let you in" in answer.text) == (401, True)


def state_of(begun: Any) -> str:
    return dict(one.split("=") for one in urlsplit(begun.headers["location"]).query.split("&"))["state"]


def test_a_provider_that_is_down_is_told_and_the_form_stays(served: Served, shop: RealProvider) -> None:
    client = with_provider(served, RealProvider("http://127.0.0.1:9", "x", "y")).browser()
    answer = client.get("/sign-in/provider")
    assert (answer.status_code, "does not answer as it should" in answer.text) == (401, True)
    assert 'name="password"' in answer.text


@pytest.mark.parametrize(
    "wanted", ["//elsewhere.example", "https://elsewhere.example", "/\\elsewhere.example"]
)
def test_the_way_leads_to_no_other_site(client: TestClient, shop: RealProvider, wanted: str) -> None:
    page = client.get(sent_back(client, shop, f"sixth {wanted}", wanted)).text
    answer = link(client, page, next=wanted)
    assert answer.headers["location"] == "/"


def test_the_page_on_the_way_back_says_nothing_that_was_not_escaped(client: TestClient) -> None:
    page = client.get('/sign-in/provider/back?state="><script>alert(1)</script>').text
    assert "<script>" not in page


def test_a_link_is_ended_on_the_list_and_opens_nothing_then(client: TestClient, shop: RealProvider) -> None:
    link(client, client.get(sent_back(client, shop, "seventh")).text)
    listed = client.get("/identities").text
    (link_id,) = {part.partition("/")[0] for part in listed.split("/identities/")[1:]}
    assert client.post(f"/identities/{link_id}/end").status_code == 303
    assert client.get("/identities").status_code in (303, 401)  # the session went with it
    assert "Nobody here has linked that account" in client.get(sent_back(client, shop, "seventh")).text


def test_without_a_provider_nothing_of_it_is_open(served: Served) -> None:
    client = served.browser()
    assert "/sign-in/provider" not in client.get("/sign-in").text
    for path in PROVIDER_PATHS:
        assert client.get(path).status_code == 401
    page = served.browser("Mechanic").get("/identities").text
    assert "This server has no provider now" in page


def test_a_device_that_is_not_registered_stays_out(served: Served, shop: RealProvider) -> None:
    asgi = with_provider(served, shop, lan=True).asgi
    client = TestClient(asgi, f"https://{HOST}", follow_redirects=False, client=("192.0.2.9", 5000))
    html = {"accept": "text/html"}
    for path in PROVIDER_PATHS - {"/sign-in/provider/back"}:
        answer = client.request("POST" if path.endswith("link") else "GET", path, headers=html)
        assert (answer.status_code, answer.headers.get("location", "/pair")[:5]) in {
            (303, "/pair"),
            (401, "/pair"),
        }
    assert "One moment" in client.get("/sign-in/provider/back").text  # which goes on to what is closed


HALF: dict[str, dict[str, str]] = {
    "CLIENT_ID": {"OIDC_ISSUER": "https://shop.example"},
    "OIDC_ISSUER": {"OIDC_CLIENT_ID": "hangar"},
    "demo": {"OIDC_ISSUER": "https://shop.example", "OIDC_CLIENT_ID": "hangar", "DEMO": "yes"},
}


@pytest.mark.parametrize(("told", "given"), HALF.items(), ids=HALF)
def test_half_a_provider_is_told_before_anything_starts(told: str, given: dict[str, str]) -> None:
    with pytest.raises(UsageError, match=told):
        provider_of(read({f"GEARWITNESS_{name}": value for name, value in given.items()}))


@pytest.mark.parametrize(
    "issuer", ["shop.example", "http://shop.example", "https://", "https://shop.example/?a=1"]
)
def test_a_provider_is_reached_by_tls(issuer: str) -> None:
    with pytest.raises(UsageError, match="issuer address, which begins with https://"):
        read({"GEARWITNESS_OIDC_ISSUER": issuer})


def test_the_secret_stands_in_no_settings_that_are_printed(served: Served) -> None:
    assert "only-mine" not in repr(Settings(served.home, oidc_client_secret="only-mine"))
