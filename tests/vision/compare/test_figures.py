"""The short form of the figures; the long one is ``python -m tests.vision.compare.figures``."""

import numpy as np
import pytest

from tests.vision.compare.figures import measured_pair
from vision.compare import Answer


@pytest.mark.parametrize("seed", [1002, 1010])
def test_retakes_within_30_mm_and_10_degrees_lie_within_a_pixel_and_nothing_is_flagged(seed: int) -> None:
    pair = measured_pair(seed, changed=False)
    assert pair.answer is Answer.SAME
    assert len(pair.residuals) == 3
    assert max(pair.residuals) < 1.0
    assert pair.share > 0.6


def test_most_seeded_changes_are_found() -> None:
    pairs = [measured_pair(seed, changed=True) for seed in (1003, 1021)]
    assert sum(pair.found for pair in pairs) >= sum(pair.seen for pair in pairs) - 1
    assert np.median([one for pair in pairs for one in pair.residuals]) < 0.6
