"""A file that is not whole never gives half a picture, and no bytes give another error than ours."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from tests.scenes.photo_files import encoded, exif_block, maker_note, ratio, raw_png, short, smooth_picture
from vision.errors import PhotoError
from vision.photo import Photo, read_photo
from vision.photo.exif import read_exif

PICTURE = smooth_picture(64, 48)
EXIF = exif_block(
    {0x0112: short(6), 0x011A: ratio(72, 1)}, {0x927C: maker_note((0, -1, 0)), 0xA405: short(26)}
)
# The small picture inside the EXIF has an end mark of its own, which must not count.
THUMBNAIL = encoded(PICTURE[::4, ::4], quality=50)
WHOLE = {
    "JPEG": encoded(PICTURE, exif=EXIF + THUMBNAIL, quality=90),
    "JPEG, progressive": encoded(PICTURE, progressive=True, quality=90),
    "JPEG, restart marks": encoded(PICTURE, restart_marker_blocks=2, quality=90),
    "JPEG, CMYK": encoded(PICTURE, mode="CMYK", quality=90),
    "PNG": encoded(PICTURE, "PNG", exif=EXIF),
    "PNG, 16 bits": raw_png(PICTURE.astype(np.uint16) * 257, 2),
}


@pytest.mark.parametrize("name", WHOLE)
def test_a_file_cut_at_any_byte_is_refused(name):
    data = WHOLE[name]
    assert read_photo(data)
    for length in range(len(data)):
        with pytest.raises(PhotoError):
            read_photo(data[:length])


@pytest.mark.parametrize("name", WHOLE)
def test_a_file_cut_in_its_picture_says_so(name):
    data = WHOLE[name]
    with pytest.raises(PhotoError, match="cut short"):
        read_photo(data[:-20])


@pytest.mark.parametrize("kept", [0.2, 0.5, 0.8, 0.95])
@pytest.mark.parametrize("progressive", [False, True])
def test_a_cut_jpeg_that_someone_closed_with_an_end_mark_is_refused(kept, progressive):
    data = encoded(smooth_picture(400, 300), quality=90, progressive=progressive)
    with pytest.raises(PhotoError, match="cut short"):
        read_photo(data[: int(len(data) * kept)] + b"\xff\xd9")


def test_a_progressive_jpeg_that_lacks_whole_scans_is_refused():
    data = WHOLE["JPEG, progressive"]
    scans = [place for place in range(len(data)) if data.startswith(b"\xff\xda", place)]
    assert len(scans) > 3
    for place in scans[1:]:
        # Tables may stand before a scan; without their scan they do no harm.
        with pytest.raises(PhotoError, match=r"JPEG file is (cut short|damaged)"):
            read_photo(data[:place] + b"\xff\xd9")


def test_a_whole_jpeg_of_plain_mid_grey_is_read():
    grey = np.full((48, 64, 3), 128, np.uint8)
    np.testing.assert_array_equal(read_photo(encoded(grey)).pixels, grey)


def test_bytes_behind_the_picture_do_no_harm():
    for name in ("JPEG", "PNG"):
        np.testing.assert_array_equal(
            read_photo(WHOLE[name] + b"film" * 50).pixels, read_photo(WHOLE[name]).pixels
        )


def test_a_png_with_a_wrong_check_sum_is_refused():
    data = bytearray(WHOLE["PNG"])
    data[data.index(b"IDAT") + 40] ^= 1
    with pytest.raises(PhotoError, match="wrong check sum of IDAT"):
        read_photo(bytes(data))


def test_nothing_of_a_cut_jpeg_reaches_standard_error(capfd):
    with pytest.raises(PhotoError, match="cut short"):
        read_photo(WHOLE["JPEG"][:-20])
    assert capfd.readouterr().err == ""


def assert_photo_or_error(data):
    try:
        photo = read_photo(data)
    except PhotoError as error:
        assert len(str(error)) > 20
    else:
        assert isinstance(photo, Photo)
        assert photo.pixels.shape == (photo.facts.height_px, photo.facts.width_px, 3)
        assert photo.facts.focal.f_px > 0


HEADS = [b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"\0\0\0\x18ftypheic", b"II*\0", b"<"]


@settings(max_examples=150, deadline=None, derandomize=True)
@given(st.sampled_from(HEADS), st.binary(max_size=300))
@example(HEADS[3], b"")
def test_any_bytes_give_a_photo_or_a_photo_error(head, rest):
    assert_photo_or_error(head + rest)


@pytest.mark.parametrize("name", WHOLE)
def test_flipped_bytes_give_a_photo_or_a_photo_error(name):
    rng = np.random.default_rng(2024)
    for _ in range(250):
        data = np.frombuffer(WHOLE[name], np.uint8).copy()
        places = rng.integers(2, min(len(data), rng.choice([60, 400, len(data)])), rng.integers(1, 5))
        data[places] = rng.integers(0, 256, len(places))
        assert_photo_or_error(data.tobytes())


@settings(max_examples=300, deadline=None, derandomize=True)
@given(st.integers(0, len(EXIF) - 7), st.binary(min_size=1, max_size=6), st.integers(0, len(EXIF)))
def test_a_broken_exif_never_stops_the_reader(place, junk, length):
    block = bytearray(EXIF[6:])
    block[place : place + len(junk)] = junk
    exif = read_exif(bytes(block[:length]))
    for directory in (exif.main, exif.photo):
        for field in directory.values():
            assert len(field.numbers()) in (0, field.count)
            assert len(field.text()) <= 200
