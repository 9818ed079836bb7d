"""The user's guide can be written from the running demo, every picture in its place, nothing from elsewhere."""

import re
from pathlib import Path
from typing import Any

from app.screens.parts.manual import CHAPTERS
from tests.browser.demo_server import DemoServer
from tests.browser.guide_shots import make
from tests.browser.test_two_people import demo, filled

__all__ = ["demo", "filled"]
PNG = b"\x89PNG"


def test_every_chapter_is_a_page_and_every_picture_stands_in_one(
    chromium: Any, demo: DemoServer, tmp_path: Path
) -> None:
    album = make(chromium, demo, tmp_path / "guide")
    pages = {path.stem: path.read_text(encoding="utf-8") for path in (tmp_path / "guide").glob("*.html")}
    assert set(pages) == {"index", *(one.key for one in CHAPTERS)}
    shown = [file for text in pages.values() for file in re.findall(r'<img src="([^"]+)"', text)]
    taken = [file for shots in album.shots.values() for file, _, _ in shots]
    assert sorted(shown) == sorted(taken)
    assert len(taken) >= 12
    for file in taken:
        data = (tmp_path / "guide" / file).read_bytes()
        assert data.startswith(PNG)
        assert len(data) > 10_000  # an empty page of this size has less
    assert not any(re.search(r"(?:https?:)?//\w", text) for text in pages.values())
