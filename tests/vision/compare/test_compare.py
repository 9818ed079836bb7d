"""Two photos of one view held against each other, on scenes of which everything is known."""

import io
from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest
from PIL import Image

from tests.vision.compare.scenes import Light, Piece, Pose, Taken, drawn_pieces, other_light, seeded, take
from vision.compare import Answer, Compared, compare_files, compare_views, flicker, side_by_side, to_json
from vision.compare.view import view_of
from vision.notes import REMEDIES

SIZE = (1000, 750)
SHIFTED = Pose((18.0, -10.0, 12.0), (2.0, -3.0, 4.0))


@cache
def scene() -> list[Piece]:
    return drawn_pieces(np.random.default_rng(21))


def shot(pose: Pose = Pose(), light: Light = Light(), *, changed: bool = False, seed: int = 1) -> Taken:  # noqa: B008
    rng = np.random.default_rng(seed)
    marks = [seeded(np.random.default_rng(5), scene()[0], 0, 24, SIZE)] if changed else None
    return take(scene(), pose, light, SIZE, rng, marks)


@cache
def first() -> Taken:
    return shot()


@cache
def same() -> Compared:
    return compare_views(first().photo, shot(SHIFTED, other_light(np.random.default_rng(2)), seed=2).photo)


@cache
def changed() -> tuple[Taken, Compared]:
    after = shot(SHIFTED, other_light(np.random.default_rng(2)), changed=True, seed=2)
    return after, compare_views(first().photo, after.photo)


def test_a_retake_in_another_light_is_the_same() -> None:
    assert same().answer is Answer.SAME
    assert same().changes == ()
    assert same().share > 0.6
    assert same().surfaces >= 2


def test_a_seeded_change_is_outlined_where_it_is_on_both_photos() -> None:
    after, compared = changed()
    assert compared.answer is Answer.CHANGED
    (mark,) = after.changed
    y, x = np.nonzero(mark)
    middle = np.array([x.mean(), y.mean()])
    change = compared.changes[0]
    assert cv2.pointPolygonTest(change.outline.astype(np.float32), tuple(middle), False) > 0
    assert np.ptp(x) < change.across_px < np.ptp(x) + 40
    true = np.linalg.inv(after.maps[0] @ np.linalg.inv(first().maps[0]))
    back = true @ [*middle, 1]
    assert np.linalg.norm(change.earlier.mean(axis=0) - back[:2] / back[2]) < 6


def test_the_same_photos_give_the_same_answer() -> None:
    after, compared = changed()
    assert to_json(compare_views(first().photo, after.photo)) == to_json(compared)


def refused(earlier: Taken, now: Taken) -> str:
    compared = compare_views(earlier.photo, now.photo)
    assert compared.answer is Answer.NOT_COMPARABLE
    assert compared.remedy is REMEDIES[compared.remedy.code]
    assert compared.changes == ()
    assert compared.reason.startswith(compared.remedy.reason)
    return str(compared.remedy.code)


def test_the_same_photo_twice_tells_nothing() -> None:
    assert refused(first(), first()) == "compare-same-photo"


def test_another_scene_is_not_comparable() -> None:
    other = [Piece("hubble_deep_field", (0, 0, 700), (1100, 1000))]
    taken = take(other, Pose(), Light(), SIZE, np.random.default_rng(4))
    assert refused(first(), taken) == "compare-nothing-shared"


def test_a_photo_from_much_nearer_is_from_elsewhere() -> None:
    wall = [Piece("coffee", (0, 0, 900), (1100, 1000))]
    far = take(wall, Pose(), Light(), SIZE, np.random.default_rng(4))
    near = take(wall, Pose((0, 0, 560)), Light(), SIZE, np.random.default_rng(5))
    assert refused(far, near) == "compare-from-elsewhere"


def test_a_burnt_out_photo_is_not_comparable() -> None:
    assert refused(first(), shot(SHIFTED, Light(gain=60.0))) == "compare-light-lost"


def test_a_dark_photo_is_not_comparable() -> None:
    assert refused(first(), shot(SHIFTED, Light(gain=0.004))) == "compare-light-lost"


def test_a_much_blurred_photo_is_not_comparable() -> None:
    assert refused(first(), shot(SHIFTED, Light(blur=5.0))) == "compare-blurred"


def test_a_photo_a_little_soft_is_compared_all_the_same() -> None:
    soft = compare_views(first().photo, shot(SHIFTED, Light(blur=1.6), seed=7).photo)
    assert soft.answer is Answer.SAME


@pytest.mark.parametrize(
    ("pose", "words"),
    [
        (Pose((60, 0, 0)), "to the left."),
        (Pose((-60, 0, 0)), "to the right."),
        (Pose((0, 60, 0)), "up."),
        (Pose((0, 0, 90)), "back."),
        (Pose(turn=(0, 6, 0)), "Turn the phone 6° to the left."),
        (Pose(turn=(6, 0, 0)), "Tilt the phone 6° down."),
        (Pose(turn=(0, 0, 8)), "Roll the phone 8° counter-clockwise."),
    ],
)
def test_where_to_stand_undoes_what_was_done(pose: Pose, words: str) -> None:
    compared = compare_views(first().photo, shot(pose, seed=9).photo)
    assert compared.stand is not None
    said = compared.stand.words()
    assert said, compared.stand
    assert said[0].endswith(words), (said, compared.stand)


def test_steps_are_told_in_centimetres_where_the_distance_is_known() -> None:
    compared = compare_views(first().photo, shot(Pose((60, 0, 0)), seed=9).photo)
    assert compared.stand is not None
    (step,) = [one for one in compared.stand.words(700.0) if "left" in one]
    assert step in {f"Move the phone about {cm} cm to the left." for cm in (5, 6, 7)}


def test_a_view_that_is_the_same_asks_for_nothing() -> None:
    compared = compare_views(first().photo, shot(Pose((3, -2, 2), (0.3, 0.2, -0.4)), seed=9).photo)
    assert compared.stand is not None
    assert compared.stand.is_same
    assert compared.stand.words() == ()


def test_the_json_has_all_keys_with_an_answer_and_without_one() -> None:
    keys = {"answer", "share_compared", "surfaces", "cause", "reason", "advice", "changes", "stand"}
    with_answer, without = to_json(changed()[1]), to_json(compare_views(first().photo, first().photo))
    assert set(with_answer) == set(without) == keys
    assert with_answer["cause"] is None
    assert without["cause"] == "compare-same-photo"
    assert without["advice"] == "Choose a photo of another visit."


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def test_both_photos_lie_side_by_side_with_the_place_outlined() -> None:
    after, compared = changed()
    picture = np.asarray(opened(side_by_side(first().photo, after.photo, compared)))
    assert picture.shape == (750, 2008, 3)
    bare = np.asarray(opened(side_by_side(first().photo, after.photo, replace(compared, changes=()))))
    drawn = np.abs(picture.astype(int) - bare.astype(int)).sum(axis=2) > 90
    assert drawn[:, :1000].any() and drawn[:, 1008:].any()
    assert drawn.mean() < 0.01


def test_the_flicker_holds_the_scene_still_and_shows_only_the_change() -> None:
    after, compared = changed()
    frames = flicker(first().photo, after.photo, compared)
    assert frames is not None
    there, here = (np.asarray(opened(one)) for one in (frames.earlier, frames.now))
    assert there.shape == here.shape == (750, 1000, 3)
    (mark,) = after.changed
    aligned = compared.aligned
    assert aligned is not None
    # Without the light of either photo the scene is the same but for the mark.
    logs = [np.log(one.astype(float).mean(axis=2) + 8) for one in (there, here)]
    off = np.abs(np.diff([log - cv2.GaussianBlur(log, (0, 0), 12) for log in logs], axis=0)[0])
    inside = off[mark].mean()
    assert inside > 3 * np.median(off[aligned.explained.compared])
    moving = opened(frames.both)
    assert moving.n_frames == 2
    moving.seek(0)
    moving.load()
    assert moving.info["duration"] >= 400  # at most 2.5 changes a second (WCAG 2.3.1 allows three)


def test_there_is_no_flicker_of_what_cannot_be_compared() -> None:
    compared = compare_views(first().photo, first().photo)
    assert flicker(first().photo, first().photo, compared) is None


def test_files_give_plain_values_and_pictures() -> None:
    after, compared = changed()
    found = compare_files(first().jpeg, after.jpeg, px_per_mm=2.0)
    assert found.result == to_json(compared)
    assert found.answer is Answer.CHANGED
    assert found.flicker is not None
    assert opened(found.beside).format == "JPEG"
    assert all("cm" in line or "°" in line for line in found.stand)


def test_a_large_photo_is_worked_at_half_its_size_and_told_in_its_own_pixels() -> None:
    rng = np.random.default_rng(3)
    large = take(scene(), Pose(), Light(), (2800, 2100), rng)
    view = view_of(large.photo)
    assert (view.factor, view.size) == (2, (1400, 1050))
    # The middle of the photo is the middle of the view.
    middle = view.to_photo @ [(1400 - 1) / 2, (1050 - 1) / 2, 1]
    np.testing.assert_allclose(middle[:2], [(2800 - 1) / 2, (2100 - 1) / 2])
