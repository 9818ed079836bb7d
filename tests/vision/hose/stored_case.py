"""A drawn photo of a hose with known wear, searched, as the archive keeps it."""

import json
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np

from tests.scenes.hose import HEIGHT, WIDTH, HoseTruth, hose_case
from vision.hose import Tap, search_hoses, to_json
from vision.leg import HoseData
from vision.photo import read_photo

SEED = 3
"""Of a rubber hose on which two places are worn and none is missed."""


@dataclass(frozen=True)
class StoredCase:
    """The photo's bytes, its result as plain JSON, and what is true."""

    photo: bytes
    result: dict[str, Any]
    truth: HoseTruth
    taps: tuple[tuple[float, float], ...]

    @property
    def hose(self) -> dict[str, Any]:
        found: dict[str, Any] = self.result["hoses"][0]
        return found


def places_along(truth: HoseTruth, count: int = 5) -> tuple[tuple[float, float], ...]:
    """Places along the first hose within the photo, to whole px: what a careful finger gives."""
    line = truth.hoses[0].centre_line_px
    inside = (line > 25).all(axis=1) & (line[:, 0] < WIDTH - 25) & (line[:, 1] < HEIGHT - 25)
    chosen = np.flatnonzero(inside)[np.linspace(5, inside.sum() - 6, count).astype(int)]
    return tuple((float(round(x)), float(round(y))) for x, y in line[chosen])


@cache
def stored_case(seed: int = SEED, *, scaled: bool = True) -> StoredCase:
    """Draw, search and store; `scaled` tells the hose's diameter."""
    drawn = hose_case(seed, "plain")
    hose = drawn.truth.hoses[0]
    taps = places_along(drawn.truth)
    data = HoseData("brake", hose.diameter_mm if scaled else None, 0.1, hose.cover, "drawn")
    found = search_hoses(read_photo(drawn.photo_bytes), [data], [Tap(taps, "brake")])
    return StoredCase(drawn.photo_bytes, json.loads(json.dumps(to_json(found))), drawn.truth, taps)
