"""The network that names what lies on a hose: what it is given, what it tells, and what is made of that."""

from dataclasses import replace
from importlib import resources

import numpy as np
import pytest

from tests.accuracy.hose import judged, tapped
from tests.scenes.hose import HoseCase, hose_case
from vision.hose import Flag, Searched, search_hoses, to_json
from vision.hose.aside import aside_as
from vision.hose.by_net import one_list
from vision.hose.course import Course
from vision.hose.net import CLASSES, FILE, Classes, classes_along
from vision.hose.net_strip import CHANNELS, ROWS, channels, coded_strip
from vision.hose.ribbon import Ribbon, straighten
from vision.hose.search import Tap, lay_hoses
from vision.hose.spots import Spot, find_spots, measured
from vision.leg import HoseData
from vision.photo import Photo, read_photo
from vision.results import Refusal

from .drawn import RADIUS_PX, hose_jpeg, middle

COLUMNS = 400


def drawn(**how: float) -> tuple[Photo, Course]:
    photo = read_photo(hose_jpeg(3, **how))  # type: ignore[arg-type]
    x = np.arange(100.0, 1300.0)
    return photo, Course(np.stack([x, middle(x)], axis=1), np.full(len(x), RADIUS_PX))


def plain_ribbon() -> tuple[Ribbon, np.ndarray]:
    """A ribbon and probabilities on it that call all of it nothing."""
    ribbon = straighten(*drawn())
    named = np.zeros((len(CLASSES), *ribbon.residual.shape), np.float32)
    named[0] = 1
    return ribbon, named


def say(named: np.ndarray, kind: str, rows: slice, columns: slice, share: float = 0.95) -> None:
    named[:, rows, columns] = 0
    named[0, rows, columns] = 1 - share
    named[CLASSES.index(kind), rows, columns] = share


def by_rules(ribbon: Ribbon, row: int, column: int) -> Spot:
    return measured(ribbon, ribbon.residual, (row, column, np.ones((8, 20), bool)), 0.0)


def test_the_networks_file_is_small() -> None:
    size = len(resources.files("vision.hose").joinpath(FILE).read_bytes())
    assert 100_000 < size < 8_000_000


@pytest.mark.parametrize("columns", [64, 401, 770])
def test_each_pixel_of_a_strip_of_any_length_gets_shares_that_add_up_to_one(columns: int) -> None:
    photo, course = drawn()
    step = coded_strip(photo.pixels, course)[0].step
    part = Course(course.points[: int(columns * step)], course.radius[: int(columns * step)])
    told = classes_along(photo, part, "rubber").shares
    assert told.shape[:2] == (len(CLASSES), ROWS // 2)
    given = coded_strip(photo.pixels, part)[1].shape[1]
    assert given == pytest.approx(columns, abs=2)
    assert 0 <= 2 * told.shape[2] - given < 9
    assert told.sum(axis=0) == pytest.approx(1, abs=1e-4)


def test_what_it_is_given_does_not_change_with_the_exposure_and_names_the_cover() -> None:
    photo, course = drawn()
    coded = coded_strip(photo.pixels, course)[1]
    bright = channels(coded, "textile")
    assert bright.shape == (CHANNELS, *coded.shape[:2])
    assert np.median(bright[0]) == pytest.approx(0, abs=1e-5)
    assert np.median(bright[1], axis=1) == pytest.approx(0, abs=1e-5)
    assert [float(one.mean()) for one in bright[5:]] == [0, 1, 0]
    linear = np.clip(coded / 255, 0, 1) ** 2.2
    dark = channels((255 * (0.8 * linear) ** (1 / 2.2)).astype(np.float32), "textile")
    # The floor under ln and the true curve's foot leave a little.
    assert np.abs(dark[:2] - bright[:2]).mean() < 0.05


def test_what_it_says_of_a_place_lies_in_that_place_on_the_ribbon() -> None:
    shares = np.zeros((len(CLASSES), ROWS // 2, 300), np.float32)
    shares[1, 12, 100] = 1  # row 24 of 48 over ± 1.2 radii, column 200 of 0.5 px
    on = Classes(shares, 0.5).on(np.linspace(-0.82, 0.82, 41), COLUMNS, 2.0)[1]
    row, column = np.unravel_index(on.argmax(), on.shape)
    assert column == 50
    assert np.linspace(-0.82, 0.82, 41)[row] == pytest.approx(-1.2 + 2.4 * 24 / 47, abs=0.03)


def test_a_worn_place_stands_for_what_the_rules_found_in_it() -> None:
    ribbon, named = plain_ribbon()
    say(named, "wear", slice(10, 30), slice(100, 140))
    spots = one_list([by_rules(ribbon, 14, 110), by_rules(ribbon, 20, 300)], named, ribbon, "rubber")
    assert [(spot.named, spot.column) for spot in spots] == [("worn", 100), ("light", 300)]
    assert aside_as(spots[0], ribbon, "rubber") is None


def test_what_the_network_names_is_set_aside_by_that_name_and_a_doubt_stays_a_flag() -> None:
    ribbon, named = plain_ribbon()
    say(named, "label", slice(10, 30), slice(90, 140))
    say(named, "wear", slice(20, 28), slice(300, 320), share=0.3)
    label, doubt = one_list([by_rules(ribbon, 14, 110), by_rules(ribbon, 20, 300)], named, ribbon, "rubber")
    reason = aside_as(label, ribbon, "rubber")
    assert reason is not None
    assert reason[0] == "label"
    assert doubt.named == ""


def test_a_long_wet_place_is_for_a_person_and_a_short_one_is_a_drop_set_aside() -> None:
    ribbon, named = plain_ribbon()
    width = round(ribbon.rows_a_width)
    say(named, "fluid", slice(10, 25), slice(100, 100 + width))
    say(named, "fluid", slice(10, 25), slice(300, 300 + width // 3))
    wet, drop = one_list([], named, ribbon, "rubber")
    assert (wet.named, drop.named) == ("wet", "drop")
    assert aside_as(wet, ribbon, "rubber") is None
    reason = aside_as(drop, ribbon, "rubber")
    assert reason is not None
    assert reason[0] == "drop"


def test_a_doubt_beside_a_wet_place_stays_a_flag() -> None:
    ribbon, named = plain_ribbon()
    say(named, "fluid", slice(6, 14), slice(100, 100 + round(ribbon.rows_a_width)))
    say(named, "wear", slice(15, 19), slice(100, 140), share=0.45)
    wet, doubt = one_list([by_rules(ribbon, 14, 110)], named, ribbon, "rubber")
    assert (wet.named, doubt.named) == ("wet", "")
    assert aside_as(doubt, ribbon, "rubber") is None


def test_what_the_rules_found_beyond_the_networks_place_stays_a_place() -> None:
    ribbon, named = plain_ribbon()
    say(named, "wear", slice(10, 30), slice(100, 131))
    wide = measured(ribbon, ribbon.residual, (10, 100, np.ones((20, 100), bool)), 0.0)
    spots = one_list([wide], named, ribbon, "rubber")
    assert [spot.mask.shape[1] for spot in spots] == [31, 100]


def test_letters_of_a_print_leave_room_for_worn_places() -> None:
    ribbon = straighten(*drawn())
    rows, columns = ribbon.residual.shape
    residual, chroma = np.zeros((rows, columns), np.float32), np.zeros((rows, columns), np.float32)
    residual += np.random.default_rng(1).normal(0, 0.01, residual.shape)
    for k in range(23):
        letter = slice(30, 38), slice(20 + 40 * k, 30 + 40 * k)
        chroma[letter], residual[letter] = 1.0, 0.6
    for k in range(6):
        residual[8:18, 60 + 150 * k : 90 + 150 * k] += 0.5
    quiet = replace(ribbon, residual=residual, chroma=chroma, texture=0 * residual, bands=())
    spots = find_spots(quiet, "rubber")
    assert sum(spot.lies_on for spot in spots) >= 20
    assert sum(not spot.lies_on and spot.row < 20 for spot in spots) == 6


def test_a_hose_on_a_panorama_is_given_to_the_network_whole() -> None:
    # OpenCV takes no picture of more than 32767 columns, nor so many places at once.
    ramp = np.linspace(0, 255, 33_000)
    picture = np.repeat(np.repeat(ramp[None, :, None], 300, axis=0), 3, axis=2).astype(np.uint8)
    x = np.arange(100.0, 32_900.0)
    course = Course(np.stack([x, np.full(len(x), 150.0)], axis=1), np.full(len(x), 60.0))
    strip, coded = coded_strip(picture, course)
    assert coded.shape[1] == strip.x.shape[1]
    assert np.abs(coded[24, :, 0] - np.interp(strip.x[24], np.arange(33_000), ramp)).max() < 1.5


def test_a_flag_tells_programs_whether_it_looks_wet() -> None:
    corner = np.array([[0.0, 0], [4, 0], [4, 4]])
    flags = [Flag(corner, 0, 1, None, None, "…", kind) for kind in ("wet", "spot")]
    assert [one["looks_wet"] for one in to_json(Searched(flags, [], []))["flags"]] == [True, False]


def test_specks_are_no_places() -> None:
    ribbon, named = plain_ribbon()
    say(named, "wear", slice(10, 12), slice(100, 103))
    assert one_list([], named, ribbon, "rubber") == []


def figures(case: HoseCase, network: bool) -> tuple[int, int]:
    """Worn places found and false flags of one drawn photo."""
    photo = read_photo(case.photo_bytes)
    legs = [
        HoseData(f"hose {k}", one.diameter_mm, 0.01 * one.diameter_mm, one.cover, "scene")
        for k, one in enumerate(case.truth.hoses)
    ]
    shown = [tapped(one, f"hose {k}", 5, 0.0) for k, one in enumerate(case.truth.hoses)]

    def search() -> Searched | Refusal:
        return search_hoses(photo, legs, shown, network=network)

    row = judged(case.truth, case.photo_bytes, search)
    return sum(spot["found"] for spot in row["spots"]), row["false"]


def test_on_drawn_hoses_the_network_finds_no_less_than_the_rules_of_light_and_flags_less() -> None:
    cases = [hose_case(seed) for seed in range(95_200, 95_206)]  # two of each cover
    with_it, without = (np.sum([figures(case, one) for case in cases], axis=0) for one in (True, False))
    drawn_there = sum(len(case.truth.spots) for case in cases)
    assert with_it[0] >= without[0]
    assert with_it[0] >= 0.9 * drawn_there
    assert with_it[1] < without[1]


def test_without_the_network_nothing_bears_its_names() -> None:
    photo, course = drawn(spot=(700.0, 0.1))
    tap = Tap(tuple((float(x), float(y)) for x, y in course.points[50:-50:260]))
    laid = lay_hoses(photo, (), [tap], None, network=False)
    assert not isinstance(laid, Refusal)
    assert laid[0].spots
    assert {spot.named for spot in laid[0].spots} == {""}
