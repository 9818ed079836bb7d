import re
from collections.abc import Iterator
from xml.etree import ElementTree

import pytest

from app.screens.drawings import hose_photo, strut_photo, surface_photo, tire_photo
from app.screens.drawings.plan import LEGS, plan
from app.screens.drawings.sheet import Drawing
from app.screens.drawings.strut_photo import drawings
from app.screens.palette import DARK, LIGHT, Palette

SVG = "{http://www.w3.org/2000/svg}"
BOTH = [pytest.param(LIGHT, id="light"), pytest.param(DARK, id="dark")]


def every_drawing(colours: Palette) -> Iterator[Drawing]:
    for module in (strut_photo, tire_photo, hose_photo, surface_photo):
        yield from module.drawings(colours)


@pytest.mark.parametrize("colours", BOTH)
def test_every_balloon_is_explained_by_its_list(colours: Palette) -> None:
    for drawing in every_drawing(colours):
        texts = [one.text for one in ElementTree.fromstring(drawing.svg).iter(f"{SVG}text")]
        assert sorted(map(str, texts)) == [str(n + 1) for n in range(len(drawing.list))], drawing.title


def test_every_drawing_has_words_for_who_cannot_see_it() -> None:
    for drawing in every_drawing(LIGHT):
        assert len(drawing.alternative.split()) > 15, drawing.title


def test_the_zones_where_nobody_stands_are_hatched_and_no_footprints_are_in_them() -> None:
    root = ElementTree.fromstring(drawings(LIGHT)[0].svg)
    hatched = [one.get("d", "") for one in root.iter(f"{SVG}path") if one.get("fill") == "url(#danger)"]
    assert len(hatched) == 4
    feet = [one.get("transform", "") for one in root.iter(f"{SVG}g")]
    assert len(feet) == 3
    for transform in feet:
        x, y = map(float, re.findall(r"translate\(([\d.]+) ([\d.]+)\)", transform)[0])
        for zone in hatched:
            across, down = bounds(zone)
            assert not (min(across) <= x <= max(across) and min(down) <= y <= max(down)), (transform, zone)


def test_nobody_stands_beside_a_tire_that_may_burst() -> None:
    root = ElementTree.fromstring(tire_photo.drawings(LIGHT)[0].svg)
    hatched = [one.get("d", "") for one in root.iter(f"{SVG}path") if one.get("fill") == "url(#danger)"]
    feet = [one.get("transform", "") for one in root.iter(f"{SVG}g")]
    assert (len(hatched), len(feet)) == (2, 2)
    for transform in feet:
        x, _ = map(float, re.findall(r"translate\(([\d.]+) ([\d.]+)\)", transform)[0])
        for zone in hatched:
            across, _ = bounds(zone)
            assert not min(across) <= x <= max(across), (transform, zone)


def bounds(path: str) -> tuple[list[float], list[float]]:
    across, down = [], []
    for command, numbers in re.findall(r"([MLHV])([\d. ]+)", path):
        values = [float(number) for number in numbers.split()]
        across += values[:1] if command != "V" else []
        down += values[-1:] if command != "H" else []
    return across, down


def test_the_bounds_of_a_zone_are_read_from_its_path() -> None:
    assert bounds("M124 26 H236 V66 H124Z") == ([124, 236, 124], [26, 66])


def test_the_colours_follow_the_theme() -> None:
    assert drawings(LIGHT)[1].svg != drawings(DARK)[1].svg
    assert DARK.ink in drawings(DARK)[1].svg


@pytest.mark.parametrize("position", LEGS)
def test_the_plan_marks_one_leg(position: str) -> None:
    discs = ElementTree.fromstring(plan(LIGHT, position)).iter(f"{SVG}circle")
    marked = [(float(d.get("cx", 0)), float(d.get("cy", 0))) for d in discs if d.get("fill") == LIGHT.accent]
    assert marked == [LEGS[position]]


def test_a_leg_with_a_name_of_its_own_is_not_marked_anywhere() -> None:
    assert LIGHT.accent not in plan(LIGHT, "centre main")
