"""The whole annotated copy: size, file, determinism, and what never changes."""

import io
import time
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

import vision.overlay
from tests.vision.overlay_cases import decoded, grey_photo, photo_of, reading, refusal
from vision.overlay import MAX_SIDE_PX, annotate
from vision.results import Result, Verdict

RESULTS: tuple[Result, ...] = (*(reading(verdict) for verdict in (*Verdict, None)), refusal())
SIZES = [(3024, 4032), (4032, 3024), (6000, 900), (700, 6000), (1200, 1600), (320, 240), (20, 20), (1, 1)]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("result", [reading(), refusal()], ids=["reading", "refusal"])
def test_any_size_of_photo_gives_a_sheet_within_the_longest_side(
    size: tuple[int, int], result: Result
) -> None:
    sheet = decoded(annotate(grey_photo(*size), result))
    assert max(sheet.shape) <= MAX_SIDE_PX
    assert sheet.shape[1] >= 480


def test_a_large_photo_uses_the_longest_side() -> None:
    assert max(decoded(annotate(grey_photo(3024, 4032), reading())).shape) > 0.99 * MAX_SIDE_PX


def test_the_photo_stays_as_it_is() -> None:
    rng = np.random.default_rng(5)
    pixels = rng.integers(0, 256, (900, 700, 3), dtype=np.uint8)
    before = pixels.copy()
    annotate(photo_of(pixels), reading())
    assert np.array_equal(pixels, before)


def test_a_photo_shown_at_its_own_size_stays_as_it_is() -> None:
    # 640 px is the narrowest sheet: nothing is resized, so a missing copy would be drawn upon.
    pixels = np.full((640, 640, 3), 90, np.uint8)
    annotate(
        photo_of(pixels), refusal(evidence={"card_px": [[100, 100], [200, 100], [200, 400], [100, 400]]})
    )
    assert (pixels == 90).all()


def test_the_same_result_gives_the_same_bytes() -> None:
    assert annotate(grey_photo(), reading()) == annotate(grey_photo(), reading())


def test_the_file_calls_itself_an_annotated_copy() -> None:
    with Image.open(io.BytesIO(annotate(grey_photo(), refusal()))) as image:
        assert image.format == "JPEG"
        exif = image.getexif()
    # Exif 2.32: 0x010E ImageDescription, 0x0131 Software.
    assert exif[0x010E] == "Annotated copy, not the original"
    assert exif[0x0131] == "Gearwitness"


def test_another_unit_is_refused() -> None:
    with pytest.raises(ValueError, match='shown in "mm" or "in", not in \'ft\''):
        annotate(grey_photo(), reading(), unit="ft")


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_a_value_that_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(ValueError, match="finite"):
        annotate(grey_photo(), reading(value=value))


@pytest.mark.parametrize("result", RESULTS, ids=lambda result: str(getattr(result, "verdict", "refusal")))
def test_twelve_megapixels_take_a_quarter_of_a_second_at_most(result: Result) -> None:
    photo = grey_photo(3024, 4032)
    took = []
    for _ in range(4):
        # The thread's own time: other work on the machine does not count against it.
        start = time.thread_time()
        annotate(photo, result)
        took.append(time.thread_time() - start)
    assert min(took) <= 0.25


def test_no_word_of_release_is_in_the_package() -> None:
    texts = [path.read_text() for path in Path(vision.overlay.__file__).parent.glob("*.py")]
    assert len(texts) > 5
    assert not any("airworth" in text.lower() for text in texts)
