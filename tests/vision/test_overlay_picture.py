"""Marks lie where the evidence says, and nowhere else."""

from typing import Any

import numpy as np
import pytest

from tests.vision.overlay_cases import (
    GREY,
    decoded,
    full_evidence,
    grey_photo,
    photo_of,
    picture_in,
    reading,
    refusal,
)
from vision.overlay import annotate
from vision.overlay.marks import usable_marks
from vision.overlay.view import view_of
from vision.overlay.window import Window, shown
from vision.results import Result

JPEG_NOISE = 2  # levels by which plain grey may come back changed


def changed(result: Result) -> tuple[Any, Window]:
    """Return how far each px of the picture is from the plain grey of the photo, and the window shown."""
    photo = grey_photo()
    picture, view = picture_in(decoded(annotate(photo, result)), photo, result)
    return np.abs(picture.astype(int) - GREY).max(axis=2), view


@pytest.mark.parametrize("key", ["from_px", "to_px"])
def test_each_end_is_marked_where_it_was_read(key: str) -> None:
    evidence = full_evidence()
    evidence = {key: evidence[key], "axis_px": evidence["axis_px"]}
    difference, view = changed(reading(evidence=evidence))
    x, y = view.points(np.array(evidence[key]))
    # Beside the axis line only the T's bar is crossed: its middle is the height of the end.
    column = difference[round(y) - 30 : round(y) + 31, round(x + 0.02 * view.shown_width)].astype(float)
    assert column.max() > 60
    middle = (np.arange(round(y) - 30, round(y) + 31) * column).sum() / column.sum()
    assert middle == pytest.approx(y, abs=0.6)


def test_the_picture_is_unchanged_far_from_marks() -> None:
    difference, view = changed(reading())
    y = round(view.points(np.array([0.55 * 1200, 0.94 * 1600]))[1])
    assert difference[y:-8].max() <= JPEG_NOISE
    assert difference[: round(0.05 * len(difference))].max() <= JPEG_NOISE


def test_without_evidence_the_picture_is_the_photo() -> None:
    # The lowest 8 rows may share a JPEG block with the strip below.
    assert changed(reading(evidence={}))[0][:-8].max() <= JPEG_NOISE


def test_the_card_of_a_refusal_is_outlined() -> None:
    evidence = {"card_px": full_evidence()["card_px"]}
    difference, view = changed(refusal(evidence=evidence))
    corners = view.points(np.array(evidence["card_px"]))
    for start, end in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        x, y = np.round((start + end) / 2).astype(int)
        assert difference[y - 2 : y + 3, x - 2 : x + 3].max() > 40


def test_the_dimension_stands_on_the_side_away_from_the_card() -> None:
    evidence = full_evidence()
    difference, view = changed(reading(evidence=evidence))
    x, y = np.round(view.points(np.array([0.55 * 1200, 800.0]))).astype(int)
    beyond = round(0.12 * 1200 * 1.5 * view.scale) + 4
    left = difference[y, : x - beyond].max()
    card = round(float(view.points(np.array(evidence["card_px"]))[0, 0])) - 6
    assert left > 60
    assert difference[y, x + beyond : card].max() <= JPEG_NOISE


@pytest.mark.parametrize("key", sorted(full_evidence()))
@pytest.mark.parametrize(
    "broken",
    [None, "text", [], [1.0], [[1.0]], [float("nan"), 3.0], [[1e300, 0.0]] * 4, -2.0, {"a": 1}, [[[]]]],
    ids=repr,
)
def test_broken_evidence_is_left_out(key: str, broken: object) -> None:
    rest = {name: value for name, value in full_evidence().items() if name != key}
    with_broken = annotate(grey_photo(), reading(evidence=rest | {key: broken}))
    assert with_broken == annotate(grey_photo(), reading(evidence=rest))


@pytest.mark.parametrize("key", sorted(full_evidence()))
def test_every_piece_of_evidence_shows(key: str) -> None:
    rest = {name: value for name, value in full_evidence().items() if name != key}
    assert annotate(grey_photo(), reading(evidence=rest)) != annotate(grey_photo(), reading())


def test_leg_tags_are_outlined_from_a_list_or_by_number() -> None:
    tag = [[200.0, 200.0], [260.0, 200.0], [260.0, 260.0], [200.0, 260.0]]
    listed = annotate(grey_photo(), reading(evidence={"leg_tags_px": [tag]}))
    assert listed == annotate(grey_photo(), reading(evidence={"leg_tags_px": {"412": tag}}))
    assert listed != annotate(grey_photo(), reading(evidence={}))


@pytest.mark.parametrize("quarter_turns", [0, 1, 2, 3])
def test_a_strut_in_any_direction_is_drawn_within_the_picture(quarter_turns: int) -> None:
    evidence = full_evidence()
    turned = {
        key: value if key == "px_per_mm" else _turned(np.array(value), quarter_turns).tolist()
        for key, value in evidence.items()
    }
    pixels = np.ascontiguousarray(np.rot90(grey_photo().pixels, quarter_turns))
    result = reading(evidence=turned)
    photo = photo_of(pixels)
    picture, view = picture_in(decoded(annotate(photo, result)), photo, result)
    for key in ("from_px", "to_px"):
        x, y = np.round(view.points(np.array(turned[key]))).astype(int)
        assert np.abs(picture[y, x].astype(int) - GREY).max() > 40


def _turned(points: np.ndarray, quarter_turns: int) -> np.ndarray:
    width, height = 1200, 1600
    for _ in range(quarter_turns):
        points = np.stack([points[..., 1], width - 1 - points[..., 0]], axis=-1)
        width, height = height, width
    return points


@pytest.mark.parametrize("window", [Window(0, 0, 400, 300, 173, 130), Window(-20, 40, 200, 150, 613, 460)])
def test_points_and_pixels_are_shown_at_the_same_place(window: Window) -> None:
    # A soft blob: its centre of mass is known to a hundredth of a pixel in both images.
    y, x = np.mgrid[:300, :400]
    blob = 255 * np.exp(-((x - 101.3) ** 2 + (y - 97.8) ** 2) / (2 * 9.0**2))
    pixels = np.repeat(np.round(blob).astype(np.uint8)[..., None], 3, axis=2)
    light = shown(pixels, window)[:, :, 0].astype(float)
    around = window.points(np.array([101.3, 97.8]))
    x0, y0 = np.round(around - 30 * window.scale).astype(int)
    x1, y1 = np.round(around + 30 * window.scale).astype(int) + 1
    part = light[y0:y1, x0:x1]
    rows, columns = np.mgrid[y0:y1, x0:x1]
    found = np.array([(columns * part).sum(), (rows * part).sum()]) / part.sum()
    assert np.abs(found - around).max() <= 0.1


def test_a_small_strut_is_closed_in_on_and_lies_whole_within_the_view() -> None:
    evidence = {
        key: value / 5 if key == "px_per_mm" else (np.array(value) / 5 + [700, 900]).tolist()
        for key, value in full_evidence().items()
    }
    marks = usable_marks(evidence, 3024, 4032)
    view = view_of(3024, 4032, 1000, marks)
    assert view.width * view.height < 0.2 * 3024 * 4032
    assert view.shown_width == 1000
    for points in (marks.start, marks.end, marks.card, marks.start_ring, marks.end_ring):
        inside = view.points(points)
        assert (inside >= 0).all()
        assert (inside < [view.shown_width, view.shown_height]).all()


def test_a_refusal_shows_the_whole_photo() -> None:
    evidence = {"card_px": [[500, 500], [540, 500], [540, 700], [500, 700]]}
    photo, result = grey_photo(3024, 4032), refusal(evidence=evidence)
    sheet = decoded(annotate(photo, result))
    picture, _ = picture_in(sheet, photo, result)
    assert picture.shape[:2] == (round(sheet.shape[1] * 4 / 3), sheet.shape[1])
