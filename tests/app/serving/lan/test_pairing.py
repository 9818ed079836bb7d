"""A phone in the network: nothing before it is registered, everything after, nothing once it is shut out."""

import re
from typing import Any

import pytest
from starlette.testclient import TestClient, WebSocketDenialResponse

from app.people import Role
from tests.app.records_house import PASSWORD
from tests.app.serving.served import Served

LAN = "gear.example:8501"
SOCKET = f"wss://{LAN}/_stcore/stream"
DESK = ("127.0.0.1", 50000)


@pytest.fixture
def network(served: Served) -> Served:
    return served.with_settings(lan=True, lan_names=("gear.example",))


def client(network: Served, peer: tuple[str, int], host: str = LAN) -> TestClient:
    url = f"https://{host}"
    return TestClient(network.asgi, url, follow_redirects=False, headers={"origin": url}, client=peer)


@pytest.fixture
def desk(network: Served) -> TestClient:
    """A browser on the machine that serves, the inspector signed in."""
    found = client(network, DESK, "127.0.0.1:8501")
    assert found.post("/sign-in", data={"name": "Inspector", "password": PASSWORD}).status_code == 303
    return found


@pytest.fixture
def phone(network: Served) -> TestClient:
    return client(network, ("192.0.2.20", 50000))


def shown_code(desk: TestClient) -> str:
    page = desk.post("/devices/code").text
    found = re.search(r'class="code">([^<]*)<', page)
    assert found is not None
    assert "<svg" in page
    assert "https://gear.example:8501/pair" in page
    return found[1]


def paired(phone: TestClient, code: str, **changed: str) -> Any:
    form = {"code": code, "device": "Phone <2>", "name": "Mechanic", "password": PASSWORD} | changed
    return phone.post("/pair", data=form)


@pytest.mark.parametrize("path", ["/", "/sign-in", "/devices", "/photos/x/original"])
def test_an_unregistered_phone_is_sent_to_the_pairing_page(phone: TestClient, path: str) -> None:
    answer = phone.get(path, headers={"accept": "text/html"})
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/pair")
    assert phone.get(path).status_code == 401
    assert phone.get("/pair").status_code == 200
    assert phone.get("/healthz").json() == {"status": "ok"}


def test_an_unregistered_phone_cannot_sign_in_or_open_a_websocket(phone: TestClient) -> None:
    assert phone.post("/sign-in", data={"name": "Mechanic", "password": PASSWORD}).status_code == 401
    with pytest.raises(WebSocketDenialResponse) as denied, phone.websocket_connect(SOCKET):
        pass
    assert denied.value.status_code == 401


def test_a_scanned_code_registers_the_phone_and_signs_in_with_secure_cookies(
    desk: TestClient, phone: TestClient
) -> None:
    answer = paired(phone, shown_code(desk))
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    cookies = answer.headers.get_list("set-cookie")
    assert {cookie.partition("=")[0] for cookie in cookies} == {"gw_device", "gw_session"}
    for cookie in cookies:
        assert "Secure" in cookie
        assert "HttpOnly" in cookie
        assert "SameSite=strict" in cookie
    assert phone.get("/devices").status_code == 200


def test_a_sign_in_on_a_registered_phone_gives_a_secure_cookie_too(
    desk: TestClient, phone: TestClient
) -> None:
    paired(phone, shown_code(desk))
    answer = phone.post("/sign-in", data={"name": "Inspector", "password": PASSWORD})
    assert answer.status_code == 303
    assert "Secure" in answer.headers["set-cookie"]


def test_a_code_counts_once_and_never_without_the_right_password(desk: TestClient, phone: TestClient) -> None:
    code = shown_code(desk)
    wrong = paired(phone, code, password="wrong password")
    assert wrong.status_code == 401
    assert "Name or password is wrong" in wrong.text
    assert "Phone &lt;2&gt;" in wrong.text
    assert paired(phone, code).status_code == 303
    again = paired(phone, code)
    assert again.status_code == 401
    assert "used up" in again.text


def test_without_a_code_no_password_is_tried(phone: TestClient) -> None:
    for _ in range(20):
        assert paired(phone, "NOSUCHCODE", password="wrong password").status_code == 401
    assert "used up" in paired(phone, "NOSUCHCODE").text  # not "too many wrong passwords"


def test_a_phone_that_is_shut_out_finds_its_session_dead(desk: TestClient, phone: TestClient) -> None:
    paired(phone, shown_code(desk), name="Inspector")
    page = desk.get("/devices").text
    assert "Phone &lt;2&gt;" in page
    (device,) = re.findall(r'action="/devices/([0-9a-f]+)/end"', page)
    assert desk.post(f"/devices/{device}/end").status_code == 303
    assert phone.get("/devices").status_code == 401
    assert phone.get("/", headers={"accept": "text/html"}).headers["location"].startswith("/pair")
    assert "shut out by Inspector" in desk.get("/devices").text
    # Not even from the desk does the old session open anything.
    desk.cookies.clear()
    desk.cookies.set("gw_session", phone.cookies["gw_session"])
    assert desk.get("/devices").status_code == 401


def test_who_did_not_register_a_phone_cannot_shut_it_out_but_an_administrator_can(
    network: Served, desk: TestClient, phone: TestClient
) -> None:
    paired(phone, shown_code(desk))
    (device,) = re.findall(r'action="/devices/([0-9a-f]+)/end"', phone.get("/devices").text)
    refused = desk.post(f"/devices/{device}/end")
    assert refused.status_code == 409
    assert "or by an administrator" in refused.text
    network.house.people.enter("Administrator", frozenset({Role.ADMINISTRATOR}), PASSWORD)
    desk.post("/sign-in", data={"name": "Administrator", "password": PASSWORD})
    assert desk.post(f"/devices/{device}/end").status_code == 303
    assert phone.get("/devices").status_code == 401


def test_a_session_carried_to_another_machine_opens_nothing(
    network: Served, desk: TestClient, phone: TestClient
) -> None:
    paired(phone, shown_code(desk))
    thief = client(network, ("192.0.2.66", 50000))
    thief.cookies.set("gw_session", phone.cookies["gw_session"])
    assert thief.get("/devices").status_code == 401
    # Nor on a device that is registered itself.
    thief.cookies.clear()
    assert paired(thief, shown_code(desk), name="Inspector").status_code == 303
    device = thief.cookies["gw_device"]
    thief.cookies.clear()
    thief.cookies.set("gw_device", device)
    thief.cookies.set("gw_session", phone.cookies["gw_session"])
    assert thief.get("/devices").status_code == 401


def test_a_name_that_the_certificate_does_not_carry_is_not_served(network: Served) -> None:
    assert client(network, DESK, "elsewhere.example").get("/healthz").status_code == 400


def test_another_site_cannot_register_a_phone(desk: TestClient, phone: TestClient) -> None:
    form = {"code": shown_code(desk), "device": "x", "name": "Mechanic", "password": PASSWORD}
    headers = {"origin": "https://elsewhere.example"}
    assert phone.post("/pair", data=form, headers=headers).status_code == 403


def test_without_a_network_there_is_nothing_to_pair_with(served: Served) -> None:
    browser = served.browser("Inspector")
    assert "serve --lan" in browser.get("/devices").text
    assert browser.get("/pair").status_code == 404
    assert browser.post("/devices/code").status_code in (404, 405)
    # Nor is its path a way past the gate.
    assert served.browser().get("/pair").status_code == 401
