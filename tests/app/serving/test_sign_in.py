"""Signing in and out: the page, the cookie, where one goes then, and how a session ends."""

import html
import re
from datetime import timedelta
from http.cookies import SimpleCookie

import pytest
from starlette.testclient import TestClient

from app.serving.gate import COOKIE
from app.serving.sign_in import local_path, sentence
from tests.app.records_house import PASSWORD
from tests.app.serving.served import HERE, DemoOfTests, Served

RIGHT = {"name": "Mechanic", "password": PASSWORD}


def cookie_of(client: TestClient, **form: str) -> str:
    answer = client.post("/sign-in", data=RIGHT | form)
    assert answer.status_code == 303
    return str(answer.headers["set-cookie"])


def test_the_cookie_is_for_this_server_alone_and_for_no_script(served: Served) -> None:
    jar = SimpleCookie(cookie_of(served.browser()))
    (name,) = jar
    assert name == COOKIE
    cookie = jar[name]
    assert len(cookie.value) >= 43  # 32 random bytes
    assert cookie["httponly"]
    assert cookie["samesite"].lower() == "strict"
    assert cookie["path"] == "/"
    assert cookie["max-age"] == str(12 * 3600)
    assert not cookie["domain"]
    assert not cookie["secure"]


def test_over_https_the_cookie_is_for_https_only(served: Served) -> None:
    client = TestClient(served.asgi, "https://127.0.0.1", follow_redirects=False)
    answer = client.post("/sign-in", data=RIGHT, headers={"origin": "https://127.0.0.1"})
    assert "; secure" in answer.headers["set-cookie"].lower()


def test_every_sign_in_is_a_session_of_its_own(served: Served) -> None:
    client = served.browser()
    assert cookie_of(client) != cookie_of(client)


def test_who_is_signed_in_reaches_what_is_behind_the_gate(served: Served) -> None:
    draft = served.draft()
    assert served.browser().get(f"/drafts/{draft}").status_code == 401
    assert served.browser("Mechanic").get(f"/drafts/{draft}").status_code == 200


def test_signing_out_ends_the_session_also_for_whoever_kept_the_cookie(served: Served) -> None:
    client = served.browser("Mechanic")
    kept = client.cookies[COOKIE]
    answer = client.post("/sign-out")
    assert (answer.status_code, answer.headers["location"]) == (303, "/sign-in")
    assert COOKIE not in client.cookies
    again = served.browser()
    again.cookies.set(COOKIE, kept)
    assert again.get("/drafts/1").status_code == 401
    assert again.post("/sign-out").status_code == 401


def test_a_session_ends_by_itself_after_its_hours(served: Served) -> None:
    client = served.browser("Mechanic")
    served.house.clock.at += timedelta(hours=11, minutes=59)
    assert client.get("/drafts/1").status_code == 404
    served.house.clock.at += timedelta(minutes=2)
    assert client.get("/drafts/1").status_code == 401


@pytest.mark.parametrize(
    "form",
    [
        {"name": "Mechanic", "password": "wrong one"},
        {"name": "Nobody", "password": PASSWORD},
        {"name": "Mechanic"},
        {"password": PASSWORD},
        {"name": "'; --", "password": "\x00"},
        {},
    ],
)
def test_a_wrong_name_or_password_is_told_in_one_sentence_and_no_cookie_comes(
    served: Served, form: dict[str, str]
) -> None:
    answer = served.browser().post("/sign-in", data=form)
    assert answer.status_code == 401
    assert "Name or password is wrong: type both again." in answer.text
    assert "set-cookie" not in answer.headers


def test_after_many_wrong_passwords_one_has_to_wait(served: Served) -> None:
    client = served.browser()
    for _ in range(5):
        assert client.post("/sign-in", data=RIGHT | {"password": "wrong one"}).status_code == 401
    answer = client.post("/sign-in", data=RIGHT)
    assert answer.status_code == 429
    assert "Too many wrong passwords: wait" in answer.text


def test_a_form_of_another_site_is_refused(served: Served) -> None:
    answer = served.browser().post("/sign-in", data=RIGHT, headers={"origin": "http://elsewhere.example"})
    assert answer.status_code == 403
    assert "set-cookie" not in answer.headers
    signed_in = served.browser("Mechanic")
    away = signed_in.post("/sign-out", headers={"origin": "http://elsewhere.example"})
    assert away.status_code == 403
    assert signed_in.get("/drafts/1").status_code == 404


def test_a_form_that_is_far_too_long_is_refused(served: Served) -> None:
    answer = served.browser().post("/sign-in", data=RIGHT | {"next": "/" + "x" * 20_000})
    assert answer.status_code == 413
    assert "That was too long" in answer.text


@pytest.mark.parametrize(
    "wanted", ["/", "/?draft=1", "/queue?try=a&b=%C3%A9", "/round?draft=1#x", "/sign-ins"]
)
def test_one_goes_on_to_where_one_wanted_to_go(served: Served, wanted: str) -> None:
    client = served.browser()
    page = client.get("/sign-in", params={"next": wanted}).text
    hidden = re.search(r'name="next" value="([^"]*)"', page)
    assert hidden is not None
    assert html.unescape(hidden[1]) == wanted
    answer = client.post("/sign-in", data=RIGHT | {"next": html.unescape(hidden[1])})
    assert answer.headers["location"] == wanted


@pytest.mark.parametrize(
    "wanted",
    [
        "",
        "http://elsewhere.example/",
        "//elsewhere.example/",
        "///elsewhere.example",
        "/\\elsewhere.example",
        "\\\\elsewhere.example",
        "/\t/elsewhere.example",
        "/\n/elsewhere.example",
        "javascript:alert(1)",
        "elsewhere.example",
        "/sign-in",
        "/sign-in/?next=/",
    ],
)
def test_one_never_goes_on_to_another_site_or_in_a_circle(wanted: str) -> None:
    assert local_path(wanted) == "/"


def test_what_was_typed_comes_back_as_text_and_never_as_markup(served: Served) -> None:
    typed = '"><script>alert(1)</script>'
    answer = served.browser().post("/sign-in", data={"name": typed, "password": "x", "next": f"/{typed}"})
    assert "<script" not in answer.text
    assert html.escape(typed) in answer.text


def test_the_page_needs_nothing_that_is_behind_the_gate(served: Served) -> None:
    client = served.browser()
    page = client.get("/sign-in")
    assert page.headers["cache-control"] == "no-store"
    assert "<script" not in page.text
    loaded = re.findall(r'(?:src|href)="([^"]+)"', page.text)
    assert loaded == ["data:,", "/sign-in/sign_in.css"]
    style = client.get("/sign-in/sign_in.css")
    assert style.headers["content-type"].startswith("text/css")
    assert "url(" not in style.text
    assert "@import" not in style.text


def test_the_demo_s_identities_are_shown_in_the_demo_only_and_each_is_one_press(served: Served) -> None:
    assert "Demo" not in served.browser().get("/sign-in").text
    served.demo = DemoOfTests()
    client = served.browser()
    page = client.get("/sign-in", params={"next": "/queue"}).text
    assert PASSWORD in page
    for name in served.demo.names:
        form = next(part for part in page.split("<form")[1:] if f">{name}</button>" in part)
        fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form.split("</form>")[0]))
        answer = client.post("/sign-in", data=fields)
        assert (answer.status_code, answer.headers["location"]) == (303, "/queue")


@pytest.mark.parametrize(
    ("words", "said"), [("wait: 5 s", "Wait: 5 s."), ("Both again.", "Both again."), ("why?", "Why?")]
)
def test_an_error_s_words_become_a_sentence(words: str, said: str) -> None:
    assert sentence(ValueError(words)) == said


def test_the_health_answer_is_open_and_says_nothing_of_the_archive(served: Served) -> None:
    client = TestClient(served.asgi, "http://127.0.0.1:8501")
    assert client.get("/healthz").json() == {"status": "ok"}
    served.demo = DemoOfTests()
    answer = TestClient(served.asgi, "http://127.0.0.1:8501").get("/healthz")
    assert answer.json() == {"status": "ok", "demo": "1 of 3 photos measured"}


def test_a_foreign_name_for_this_machine_is_not_served(served: Served) -> None:
    client = TestClient(served.asgi, "http://elsewhere.example:8501")
    assert client.get("/healthz").status_code == 400
    assert TestClient(served.asgi, "http://localhost:8501").get("/healthz").status_code == 200
    reachable = served.with_settings(address="192.0.2.7")
    assert TestClient(reachable.asgi, "http://hangar.example").get("/healthz").status_code == 200


@pytest.mark.parametrize("path", ["/healthz", "/sign-in", "/drafts/1"])
def test_every_answer_keeps_the_browser_from_going_elsewhere(served: Served, path: str) -> None:
    headers = served.browser().get(path, headers=HERE).headers
    policy = headers["content-security-policy"]
    assert "default-src 'self'" in policy
    assert "connect-src 'self' data: blob: ws://127.0.0.1:8501 wss://127.0.0.1:8501;" in policy
    assert "frame-ancestors 'none'" in policy
    assert not re.search(r"https?:|\*", policy)
    assert headers["x-content-type-options"] == "nosniff"
    assert headers["referrer-policy"] == "same-origin"


def test_a_strange_host_does_not_get_into_the_policy(served: Served) -> None:
    reachable = served.with_settings(address="192.0.2.7").browser()
    headers = reachable.get("/healthz", headers={"host": "a; script-src *"}).headers
    assert "*" not in headers["content-security-policy"]
