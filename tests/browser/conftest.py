from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser.chromium import EXECUTABLE, FLAGS


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """Debian's Chromium, one for the session; each test opens a context of its own in it."""
    api = pytest.importorskip(
        "playwright.sync_api", reason="playwright is not installed: pip install '.[test]'"
    )
    if not EXECUTABLE.exists():
        pytest.skip(f"no browser at {EXECUTABLE}: apt-get install chromium")
    with api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(EXECUTABLE), args=FLAGS)
        yield browser
        browser.close()
