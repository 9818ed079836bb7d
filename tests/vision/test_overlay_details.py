"""The magnified details: what they show, how large, and that the edge stays to be seen."""

from typing import Any

import numpy as np
import pytest

from tests.scenes.analytic import StrutScene, render
from tests.vision.overlay_cases import full_evidence, grey_photo
from vision.overlay.details import details, window_about
from vision.overlay.foot import scale_row
from vision.overlay.marks import usable_marks
from vision.overlay.palette import INK
from vision.overlay.view import view_of
from vision.overlay.window import Window, shown


def strip_of(evidence: dict[str, Any], pixels: Any = None, width: int = 1000) -> Any:
    pixels = grey_photo().pixels if pixels is None else pixels
    marks = usable_marks(evidence, pixels.shape[1], pixels.shape[0])
    return details(pixels, view_of(pixels.shape[1], pixels.shape[0], width, marks), marks, width)


def test_details_are_named() -> None:
    words = [word.text for word in strip_of(full_evidence()).words]
    assert "band edge" in words
    assert "collar rim" in words


def test_without_ends_there_are_no_details() -> None:
    assert strip_of({"card_px": full_evidence()["card_px"]}).height == 0


def test_one_end_gives_one_detail() -> None:
    words = [word.text for word in strip_of({"to_px": full_evidence()["to_px"]}).words]
    assert "collar rim" in words
    assert "band edge" not in words


@pytest.mark.parametrize("px_per_mm", [2.0, 8.0, 12.0, 40.0, None])
def test_a_detail_is_24_mm_wide_or_magnified_three_times(px_per_mm: float | None) -> None:
    view = Window(0, 0, 3024, 4032, 1100, 1467)
    window = window_about(np.array([1500.0, 2000.0]), view, px_per_mm, 460)
    magnified = window.scale / view.scale
    assert magnified >= 2.99
    if px_per_mm in (2.0, 8.0, 12.0):
        assert window.width == pytest.approx(24 * px_per_mm, abs=0.5)


def test_an_edge_is_shown_where_the_points_say() -> None:
    # Rows from 900 on are bright: the edge lies at 899.5, centres at integers.
    pixels = np.zeros((1600, 1200, 3), np.uint8)
    pixels[900:] = 200
    window = window_about(np.array([600.0, 899.5]), Window(0, 0, 1200, 1600, 1000, 1333), 4.0, 460)
    column = shown(pixels, window)[:, 200, 0].astype(float)
    crossing = np.interp(100, column, np.arange(len(column)))
    assert crossing == pytest.approx(window.points(np.array([600.0, 899.5]))[1], abs=0.05)


def test_the_band_of_a_rendered_scene_begins_where_its_truth_is_shown() -> None:
    scene = StrutScene(distance_mm=500, width_px=1512, height_px=2016, focal_px=1500, supersample=1)
    pixels, truth = render(scene)
    window = window_about(np.array(truth.from_px), Window(0, 0, 1512, 2016, 1000, 1333), truth.px_per_mm, 460)
    detail = shown(np.ascontiguousarray(pixels), window).astype(float)
    x, y = window.points(np.array(truth.from_px))
    column = detail[:, round(x) - 2 : round(x) + 3].mean(axis=1)
    redness = column[:, 0] - column[:, 1]
    crossing = np.flatnonzero(redness > (redness.max() + redness.min()) / 2)[0]
    # One pixel of the photo: the scene's own blur and noise are about as large.
    assert crossing == pytest.approx(y, abs=window.scale)


def test_the_arc_is_drawn_where_the_points_say() -> None:
    evidence = full_evidence()
    x, y = evidence["to_px"]
    evidence["to_ring_px"] = [[x - 200, y], [x + 200, y]]
    with_arc = strip_of(evidence).paint().astype(int)
    evidence.pop("to_ring_px")
    rows = np.flatnonzero(np.abs(with_arc - strip_of(evidence).paint()).max(axis=2).any(axis=1))
    marks = usable_marks(evidence, 1200, 1600)
    window = window_about(np.array([x, y]), view_of(1200, 1600, 1000, marks), marks.px_per_mm, 452)
    top = round(0.012 * 1000)
    assert rows.mean() - top == pytest.approx(window.points(np.array([x, y]))[1], abs=1)
    assert np.ptp(rows) <= 8


def test_half_of_the_edge_under_the_arc_is_bare() -> None:
    evidence = full_evidence()
    with_arc = strip_of(evidence).paint().astype(int)
    evidence.pop("to_ring_px")
    without = strip_of(evidence).paint().astype(int)
    columns = (np.abs(with_arc - without).max(axis=2) > 12).any(axis=0)
    reach = np.flatnonzero(columns)
    share = columns[reach[0] : reach[-1] + 1].mean()
    assert 0.35 <= share <= 0.75


def test_an_end_at_the_photos_border_is_shown_with_margin() -> None:
    strip = strip_of({"from_px": [0.0, 0.0], "to_px": [1199.0, 1599.0]})
    assert strip.paint().shape == (strip.height, 1000, 3)


def test_the_scale_bar_is_fifty_millimetres_long() -> None:
    view = Window(0, 0, 3024, 4032, 1000, 1333)
    strip = scale_row(view, 8.0, 1000)
    ink = (strip.paint()[:, :500] == INK).all(axis=2)
    columns = np.flatnonzero(ink.any(axis=0))
    # 50 mm × 8 px/mm × 1000/3024
    assert np.ptp(columns) + 1 == pytest.approx(132.3, abs=1)
    assert [word.text for word in strip.words] == ["50 mm at the strut"]


@pytest.mark.parametrize("px_per_mm", [None, 0.01, 500.0])
def test_a_bar_that_cannot_be_shown_is_left_out(px_per_mm: float | None) -> None:
    assert scale_row(Window(0, 0, 3024, 4032, 1000, 1333), px_per_mm, 1000).height == 0


def test_a_map_shows_the_whole_photo_where_the_picture_closes_in() -> None:
    evidence = {
        key: value / 5 if key == "px_per_mm" else (np.array(value) / 5 + [700, 900]).tolist()
        for key, value in full_evidence().items()
    }
    closed_in = [word.text for word in strip_of(evidence, grey_photo(3024, 4032).pixels).words]
    assert "whole photo" in closed_in
    assert "whole photo" not in [word.text for word in strip_of(full_evidence()).words]
