"""The search on plain drawn hoses: what it flags, what it sets aside, what it says and never says."""

import json

import numpy as np
import pytest

from tests.vision.hose.drawn import RADIUS_PX, hose_jpeg, middle
from vision.hose import Coverage, Searched, Tap, search_hoses, to_json
from vision.hose.course import Course
from vision.hose.pair import search_pair
from vision.hose.proven import proven
from vision.hose.sides import Sides
from vision.leg import HoseData
from vision.photo import Photo, read_photo
from vision.results import Refusal

LEG = (HoseData("brake", 15.0, 0.1, "rubber", "demo"),)
TAP = Tap(tuple((float(x), float(middle(x))) for x in range(60, 1350, 180)), "brake")
SPOT = (700.0, 0.2)


def searched(photo: Photo, *taps: Tap) -> Searched:
    found = search_hoses(photo, LEG, taps)
    assert isinstance(found, Searched), found
    return found


def holds(outline: np.ndarray, x: float) -> bool:
    return bool(outline[:, 0].min() < x < outline[:, 0].max())


@pytest.mark.parametrize("taps", [(TAP,), ()], ids=["tapped", "found"])
def test_the_course_lies_on_the_hose_and_is_as_wide(taps: tuple[Tap, ...]) -> None:
    hose = searched(read_photo(hose_jpeg()), *taps).hoses[0]
    off = hose.course.points[:, 1] - middle(hose.course.points[:, 0])
    assert np.abs(off[40:-40]).max() < 0.2 * RADIUS_PX
    assert hose.course.width_px == pytest.approx(2 * RADIUS_PX, rel=0.12)


@pytest.mark.parametrize("taps", [(TAP,), ()], ids=["tapped", "found"])
def test_a_soft_bright_place_is_flagged_with_its_size(taps: tuple[Tap, ...]) -> None:
    found = searched(read_photo(hose_jpeg(spot=SPOT)), *taps)
    (flag,) = [flag for flag in found.flags if holds(flag.outline_px, SPOT[0])]
    assert flag.size_mm == pytest.approx(40 * 15 / (2 * RADIUS_PX), rel=0.35)


def test_a_plain_hose_has_no_flag_and_most_of_its_round_is_not_searched() -> None:
    found = searched(read_photo(hose_jpeg()), TAP)
    assert not found.flags
    assert 0.2 < found.hoses[0].coverage.share < 0.4
    assert [note.code for note in found.notes] == ["hose-one-side"]


def test_a_hose_that_nobody_tapped_at_three_places_does_not_count_as_searched() -> None:
    photo = read_photo(hose_jpeg())
    assert searched(photo).hoses[0].coverage.share == 0
    assert searched(photo, Tap((TAP.points[0], TAP.points[-1]), "brake")).hoses[0].coverage.share == 0


def test_only_what_lies_between_the_first_and_the_last_tap_counts_as_searched() -> None:
    hose = searched(read_photo(hose_jpeg()), Tap(TAP.points[2:5], "brake")).hoses[0]
    seen = hose.coverage.seen.any(axis=1)
    x = hose.course.points[(np.flatnonzero(seen) * len(hose.course.points)) // len(seen), 0]
    assert len(x)
    assert x.min() > TAP.points[2][0] - 2 * RADIUS_PX
    assert x.max() < TAP.points[4][0] + 2 * RADIUS_PX


def test_a_chance_pair_of_edges_is_never_proven() -> None:
    line = np.stack([np.arange(300.0), np.full(300, 50.0)], axis=1)
    course = Course(line, np.full(300, 20.0))
    taps = line[[10, 150, 290]]
    at = np.arange(300)
    assert proven(Sides(course, np.full(300, 5.0), 0.0, 0.05), taps)[20:280].all()
    firm_for_less_than_a_third = np.where(at < 85, 5.0, 1.0)
    assert not proven(Sides(course, firm_for_less_than_a_third, 0.0, 0.05), taps).any()
    firm_for_half = np.where(at < 150, 5.0, 1.0)
    assert proven(Sides(course, firm_for_half, 0.0, 0.05), taps)[20:140].all()
    assert not proven(Sides(course, np.full(300, 1.0), 0.0, 0.01), taps).any()
    assert not proven(Sides(course, np.full(300, 5.0), 0.0, 0.01), taps + [0, 30]).any()
    # A tap a little beyond the course's end lies on the hose; one far beyond shows another piece.
    assert proven(Sides(course, np.full(300, 5.0), 0.0, 0.01), taps + [35, 0])[60:].all()
    assert not proven(Sides(course, np.full(300, 5.0), 0.0, 0.01), taps + [90, 0]).any()


def test_a_hose_that_nobody_named_is_told_as_a_guess() -> None:
    codes = {note.code for note in searched(read_photo(hose_jpeg())).notes}
    assert "hose-not-named" in codes


def test_a_band_right_across_is_set_aside_and_a_spot_beside_it_stays_a_flag() -> None:
    found = searched(read_photo(hose_jpeg(spot=SPOT, band=820.0)), TAP)
    assert any(holds(flag.outline_px, SPOT[0]) for flag in found.flags)
    assert any(holds(flag.outline_px, 820.0) for flag in found.set_aside)
    assert not any(holds(flag.outline_px, 820.0) for flag in found.flags)


def test_a_pair_from_one_place_is_refused_with_the_remedy() -> None:
    found = search_pair(read_photo(hose_jpeg(0)), read_photo(hose_jpeg(0, spot=SPOT)), LEG, (TAP,))
    assert isinstance(found, Refusal)
    assert found.remedy.code == "hose-pair-no-shift"
    assert "100 mm" in found.advice


def test_what_stays_on_the_hose_is_kept_and_what_slides_is_set_aside() -> None:
    # The hose moves by 400 px = 100 mm, the mirrored light by a third of that.
    first = read_photo(hose_jpeg(spot=SPOT, glint=1000.0))
    second = read_photo(hose_jpeg(spot=SPOT, glint=870.0, shift=400.0))
    found = search_pair(first, second, LEG, (TAP,))
    assert isinstance(found, Searched), found
    assert any(holds(flag.outline_px, SPOT[0]) for flag in found.flags)
    assert any(holds(flag.outline_px, 1000.0) for flag in found.set_aside if flag.kind == "slides")
    assert not any(holds(flag.outline_px, 1000.0) for flag in found.flags)


def test_a_tap_beside_every_hose_is_refused_with_its_place() -> None:
    found = search_hoses(read_photo(hose_jpeg()), LEG, (Tap(((700.0, 30.0),), "brake"),))
    assert isinstance(found, Refusal)
    assert "tapped at 700,30" in found.reason


def test_a_picture_without_anything_is_refused() -> None:
    blank = Photo(np.full((300, 400, 3), 120, np.uint8), read_photo(hose_jpeg()).facts)
    found = search_hoses(blank)
    assert isinstance(found, Refusal)
    assert to_json(found)["status"] == "refused"
    assert found.remedy.code == "hose-not-found"


def test_the_json_has_the_contract_s_keys_and_never_says_no_wear() -> None:
    told = to_json(searched(read_photo(hose_jpeg()), TAP))
    assert {"status", "flags", "set_aside", "hoses", "reason", "advice"} <= set(told)
    assert {"centre_line_px", "searched_share"} <= set(told["hoses"][0])
    assert "no wear" not in json.dumps(told, allow_nan=False).lower()


def test_coverages_of_one_side_add_up_and_name_what_is_left() -> None:
    first, second = np.zeros((4, 2), bool), np.zeros((8, 2), bool)
    first[0], second[2:4] = True, True
    one, two = (Coverage(seen, 0.5, 100.0, None) for seen in (first, second))
    assert one.with_other(two).share == pytest.approx(0.25)
    assert one.with_other(two).gaps() == [(0.5, 1.0)]
