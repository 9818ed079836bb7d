"""The check that words stand out 7:1 finds those that do not: grey words on white, whose contrast is known."""

from typing import Any

import pytest

from tests.app.screens.contrast import contrast
from tests.browser.person import serious
from tests.browser.test_two_people import axe

__all__ = ["axe"]
PAGE = """<html lang="en"><head><title>t</title></head><body><main><h1 style="color:#000">Length</h1>
<p style="color:{words}; background:#fff">88.9 mm</p>
<button style="color:#fff; background:#3e6fa9">Sign</button></main></body></html>"""


@pytest.mark.parametrize(("words", "is_found"), [("#5f5f5f", True), ("#565656", False)])
def test_words_below_seven_to_one_are_found(chromium: Any, axe: Any, words: str, is_found: bool) -> None:
    assert (contrast(words, "#ffffff") < 7) is is_found
    assert 4.5 < contrast("#3e6fa9", "#ffffff") < 7  # a button's own words may
    page = chromium.new_page()
    page.set_content(PAGE.format(words=words))
    assert (serious(page, axe) != []) is is_found
    page.close()
