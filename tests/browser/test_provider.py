"""In a real browser: an account of the shop's provider is linked, and signs in from then on.

The provider is another site, so the browser brings back none of our strict cookies with
its answer, which no test without a browser shows.
"""

from pathlib import Path
from typing import Any

from app.programme import supplied_text
from tests.browser.chromium import DESKTOP, PHONE
from tests.browser.shop_server import PASSWORD, ShopServer, set_up
from tests.services.provider import provider


def test_a_person_links_the_provider_s_account_once_and_signs_in_with_it(
    chromium: Any, tmp_path: Path
) -> None:
    home = tmp_path / "home"
    set_up(home, supplied_text(), ("nose",))
    server = ShopServer(home)
    with provider(f"{server.url}/sign-in/provider/back") as shop:
        server.settings = {
            "GEARWITNESS_OIDC_ISSUER": shop.issuer, "GEARWITNESS_OIDC_CLIENT_ID": shop.client_id,
            "GEARWITNESS_OIDC_CLIENT_SECRET": shop.secret, "GEARWITNESS_OIDC_LABEL": "the shop",
        }  # fmt: skip
        server.start()
        try:
            for screen, theme in ((PHONE, "dark"), (DESKTOP, "light")):
                is_linked = screen is DESKTOP
                context = chromium.new_context(**screen, color_scheme=theme)
                page = context.new_page()
                page.goto(f"{server.url}/queue")
                page.get_by_role("link", name="Sign in with the shop").click()
                page.locator("input[name=sub]").fill("248289761001")
                page.locator("input[name=sub]").press("Enter")
                if not is_linked:
                    page.get_by_role("heading", name="Link this account").wait_for()
                    page.get_by_label("Name", exact=True).fill("Inspector")
                    page.get_by_label("Password", exact=True).fill(PASSWORD)
                    page.get_by_role("button", name="Link this account and sign in").click()
                page.locator(".gw-block").first.wait_for()
                assert page.url.partition("?")[0] == f"{server.url}/queue"
                page.goto(f"{server.url}/identities")
                assert "248289761001" in page.locator(".subject").inner_text()
                context.close()
        finally:
            server.kill()
