"""One ribbon laid on another: in the right place although a weave repeats itself, or not at all."""

import cv2
import numpy as np
import pytest

from vision.hose.course import Strip
from vision.hose.laid_on import ROWS, laid_on
from vision.hose.ribbon import Ribbon

LONG, PITCH = 900, 24.0


def hose(seed: int, grain: float = 0.12) -> np.ndarray:
    """A braid (ROWS, LONG) that repeats itself, with a weaker grain of its own."""
    along, across = np.arange(LONG), np.arange(ROWS)[:, None]
    weave = 0.25 * np.sin(2 * np.pi * along / PITCH + across / 3)
    noise = cv2.GaussianBlur(np.random.default_rng(seed).normal(0, 1, (ROWS, LONG)), (0, 0), 1.5)
    return np.asarray(weave + grain * noise / noise.std(), np.float32)


def ribbon(marks: np.ndarray) -> Ribbon:
    """A ribbon of which nothing but what is fixed to the hose is asked."""
    none = np.zeros_like(marks)
    columns = np.arange(marks.shape[1])
    across = np.linspace(-0.82, 0.82, len(marks))
    strip = Strip(none, none, 1.0, across, columns, np.zeros((len(columns), 2)))
    usable = np.ones(marks.shape, bool)
    return Ribbon(strip, none, none, none, usable, ROWS / 0.82, none, none[:2], (), marks)


@pytest.mark.parametrize("shift", [0, 150, 240, -200])
def test_a_braid_is_laid_on_itself_in_the_one_right_place(shift: int) -> None:
    whole = hose(3)
    one, other = (whole[:, max(by, 0) : LONG - 250 + max(by, 0)] for by in (-shift, shift))
    match = laid_on(ribbon(one), [ribbon(other)], either_way=False)
    assert match is not None
    assert match.shift == pytest.approx(shift, abs=2)


def test_a_photo_from_a_little_further_off_and_a_course_a_row_beside_still_lie_on_it() -> None:
    whole = hose(4)
    other = np.roll(cv2.resize(whole[:, 200:], (round((LONG - 200) * 0.95), ROWS)), 1, axis=0)
    match = laid_on(ribbon(whole), [ribbon(other)], either_way=False)
    assert match is not None
    assert match.shift == pytest.approx(200, abs=3)
    assert match.there.shape[1] == pytest.approx(LONG - 200, rel=0.01)


def test_another_hose_of_the_same_braid_is_laid_nowhere() -> None:
    assert laid_on(ribbon(hose(5)), [ribbon(hose(6))], either_way=True) is None


def test_of_several_hoses_the_same_one_is_chosen_also_turned_round() -> None:
    whole = hose(7)
    turned = np.ascontiguousarray(whole[::-1, ::-1])
    assert laid_on(ribbon(whole), [ribbon(turned)], either_way=False) is None
    match = laid_on(ribbon(whole), [ribbon(hose(8)), ribbon(turned)], either_way=True)
    assert match is not None
    assert match.shift == 0
    assert match.there == pytest.approx(np.clip(whole, -0.5, 0.5), abs=1e-5)


def test_a_braid_whose_parts_lie_each_some_pitches_elsewhere_is_laid_nowhere() -> None:
    whole = hose(9)
    parts = [whole[:, first : first + 300] for first in (0, 300, 600)]
    shuffled = np.concatenate([parts[1], parts[2], parts[0]], axis=1)
    assert laid_on(ribbon(whole), [ribbon(shuffled[:, :600])], either_way=False) is not None
    assert (
        laid_on(
            ribbon(whole), [ribbon(np.concatenate([parts[2], parts[1], parts[0]], axis=1))], either_way=False
        )
        is None
    )
