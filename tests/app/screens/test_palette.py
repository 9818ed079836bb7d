import re
import tomllib
from pathlib import Path

import pytest

from app.screens.palette import DARK, LIGHT, Palette, palette_of
from tests.app.screens.contrast import contrast

APP = Path(__file__).resolve().parents[3] / "app"
STYLE = (APP / "screens" / "style.css").read_text(encoding="utf-8")
THEME = tomllib.loads((APP / ".streamlit" / "config.toml").read_text(encoding="utf-8"))["theme"]
BOTH = [pytest.param(LIGHT, id="light"), pytest.param(DARK, id="dark")]


def test_black_on_white_has_the_greatest_contrast_there_is() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("colours", BOTH)
@pytest.mark.parametrize("ground", ["paper", "sheet"])
@pytest.mark.parametrize("words", ["ink", "soft"])
def test_values_and_small_words_stand_out_seven_to_one(colours: Palette, ground: str, words: str) -> None:
    assert contrast(getattr(colours, words), getattr(colours, ground)) >= 7


@pytest.mark.parametrize("colours", BOTH)
@pytest.mark.parametrize("ground", ["paper", "sheet"])
def test_links_stand_out_seven_to_one(colours: Palette, ground: str) -> None:
    assert contrast(colours.accent, getattr(colours, ground)) >= 7


@pytest.mark.parametrize("colours", BOTH)
@pytest.mark.parametrize("ground", ["paper", "sheet"])
def test_lines_that_tell_fields_apart_stand_out_three_to_one(colours: Palette, ground: str) -> None:
    theme = THEME["dark" if colours is DARK else "light"]
    assert contrast(theme["borderColor"], getattr(colours, ground)) >= 3


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_white_words_on_the_main_button_can_be_read(theme: str) -> None:
    assert contrast(THEME[theme]["primaryColor"], "#ffffff") >= 4.5


def pair(name: str) -> tuple[str, str]:
    found = re.search(rf"--gw-{name}: light-dark\((#\w+), (#\w+)\)", STYLE)
    assert found, name
    return found[1], found[2]


@pytest.mark.parametrize("name", ["paper", "sheet", "ink", "soft", "rule", "accent"])
def test_the_style_sheet_has_the_same_colours(name: str) -> None:
    assert pair(name) == (getattr(LIGHT, name), getattr(DARK, name))


@pytest.mark.parametrize("name", ["within", "outside", "undecided"])
def test_the_style_sheet_has_the_same_colours_of_verdicts(name: str) -> None:
    assert f"--gw-{name}: {getattr(LIGHT, name)};" in STYLE
    assert getattr(LIGHT, name) == getattr(DARK, name)


@pytest.mark.parametrize(("theme", "colours"), [("light", LIGHT), ("dark", DARK)])
def test_the_theme_has_the_same_colours(theme: str, colours: Palette) -> None:
    given = THEME[theme]
    assert given["backgroundColor"] == colours.paper
    assert given["secondaryBackgroundColor"] == colours.sheet
    assert given["textColor"] == colours.ink
    assert given["linkColor"] == colours.accent


def test_the_font_lies_in_the_package() -> None:
    for face in THEME["fontFaces"]:
        assert face["url"].startswith("app/static/")
        assert (APP / "screens" / face["url"].removeprefix("app/")).is_file()


def test_a_browser_that_has_not_told_its_theme_gets_the_light_one() -> None:
    assert palette_of(None) is LIGHT
    assert palette_of("dark") is DARK
