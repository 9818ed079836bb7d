"""A search drawn on its photo: the places stay bare, and what was not searched is not called unflagged."""

import io

import numpy as np
import pytest
from PIL import Image

from tests.vision.hose.drawn import hose_jpeg, middle
from vision.hose import Searched, Tap, search_hoses
from vision.leg import HoseData
from vision.overlay import annotate_hoses
from vision.overlay.hose import _head
from vision.overlay.strip import Strip
from vision.photo import read_photo

LEG = (HoseData("brake", 15.0, 0.1, "rubber", "demo"),)
TAP = Tap(tuple((float(x), float(middle(x))) for x in range(60, 1350, 180)), "brake")
SPOT = (700.0, 0.2)


def searched(data: bytes, *taps: Tap) -> Searched:
    found = search_hoses(read_photo(data), LEG, taps)
    assert isinstance(found, Searched)
    return found


def test_nothing_is_drawn_inside_a_place_that_is_to_be_judged() -> None:
    data = hose_jpeg(spot=SPOT)
    found = searched(data, TAP)
    (flag,) = found.flags
    copy = np.asarray(Image.open(io.BytesIO(annotate_hoses(read_photo(data), found))), np.float64)
    bare = np.asarray(Image.open(io.BytesIO(data)), np.float64)
    assert copy.shape[1] == bare.shape[1]  # one to one, the photo below the words
    x, y = flag.outline_px.mean(axis=0).round().astype(int)
    part = bare[y - 8 : y + 8, x - 8 : x + 8]
    rows = range(copy.shape[0] - bare.shape[0] + 1)
    apart = [np.abs(copy[top + y - 8 : top + y + 8, x - 8 : x + 8] - part).mean() for top in rows]
    top = int(np.argmin([np.abs(copy[t : t + 8, 100:1300] - bare[:8, 100:1300]).mean() for t in rows]))
    assert apart[top] < 4.0  # JPEG twice; a mark across it is 30 and more


def test_a_search_that_proved_no_hose_says_not_inspected(monkeypatch: pytest.MonkeyPatch) -> None:
    said: list[str] = []

    class Told(Strip):
        def line(self, text: str, *rest: object, **more: object) -> None:
            said.append(text)

    monkeypatch.setattr("vision.overlay.hose.Strip", Told)
    _head(searched(hose_jpeg()), 1200)
    _head(searched(hose_jpeg(), TAP), 1200)
    titles = [text for text in said if not text.startswith("A brake: ")]
    assert titles == ["Not inspected", "Nothing flagged in what was searched"]
