"""A searched surface drawn on its photo: places stay bare, and what was not searched is not called unflagged."""

import io

import numpy as np
import pytest
from PIL import Image

from tests.vision.surface.drawn import REGION, jpeg, light_of, spot
from vision.overlay import annotate_surface
from vision.overlay.strip import Strip
from vision.overlay.surface import _head
from vision.photo import read_photo
from vision.surface import Searched, search_surface


def searched(data: bytes) -> Searched:
    found = search_surface(read_photo(data), REGION)
    assert isinstance(found, Searched)
    return found


def test_nothing_is_drawn_inside_a_place_that_is_to_be_judged() -> None:
    data = jpeg(spot(light_of(), (420, 330), 22))
    found = searched(data)
    (flag,) = found.flags
    copy = np.asarray(Image.open(io.BytesIO(annotate_surface(read_photo(data), found))), np.float64)
    bare = np.asarray(Image.open(io.BytesIO(data)), np.float64)
    assert copy.shape[1] == bare.shape[1]  # one to one, the photo below the words
    x, y = (round(part) for part in flag.middle_px)
    part = bare[y - 10 : y + 10, x - 10 : x + 10]
    rows = range(copy.shape[0] - bare.shape[0] + 1)
    top = int(np.argmin([np.abs(copy[t : t + 8, 100:900] - bare[:8, 100:900]).mean() for t in rows]))
    apart = np.abs(copy[top + y - 10 : top + y + 10, x - 10 : x + 10] - part).mean()
    assert apart < 4.0  # JPEG twice; a mark across it is 30 and more


def test_a_surface_of_which_nothing_counts_as_searched_says_not_inspected(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    said: list[str] = []

    class Told(Strip):
        def line(self, text: str, *rest: object, **more: object) -> None:
            said.append(text)

    monkeypatch.setattr("vision.overlay.surface.Strip", Told)
    even = light_of()
    even[:, 930:960] = even[:, 900:930]
    _head(searched(jpeg(even)), 1200)
    _head(searched(jpeg(light_of())), 1200)
    titles = [text for text in said if "%" not in text and "px" not in text]
    assert titles == ["Not inspected", "Nothing flagged in what was searched"]
