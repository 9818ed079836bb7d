"""HEIC: the same picture, turned once, never half of one, and never the end of the process."""

import io
import struct

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps

from tests.scenes.photo_files import (
    encoded,
    exif_block,
    maker_note,
    mean_difference,
    short,
    smooth_picture,
    text,
)
from vision.errors import PhotoError
from vision.photo import Photo, read_photo

pillow_heif = pytest.importorskip(
    "pillow_heif", reason="install pillow-heif (the test extra): the photo reader itself only decodes HEIC"
)
pillow_heif.register_heif_opener()

PICTURE = smooth_picture(120, 80)
EXIF = exif_block({0x0112: short(6)})
HEIC = encoded(smooth_picture(64, 48), "HEIF", exif=EXIF, quality=80)


def oriented(tag):
    return exif_block({0x0112: short(tag)})


@pytest.mark.parametrize("tag", range(1, 9))
def test_heic_is_turned_by_its_container_and_not_again_by_its_tag(tag):
    jpeg = encoded(PICTURE, exif=oriented(tag), quality=98, subsampling=0)
    with Image.open(io.BytesIO(jpeg)) as image:
        outside = np.asarray(ImageOps.exif_transpose(image))
        stream = io.BytesIO()
        image.save(stream, "HEIF", quality=95, chroma=444, exif=oriented(tag))
    photo = read_photo(stream.getvalue())
    assert photo.facts.format == "HEIF"
    assert photo.pixels.shape == outside.shape
    # Two lossy codings, each about one level; a wrong turn would be 30 and more.
    assert mean_difference(photo.pixels, outside) <= 2.0


def heic_with_a_tag_but_no_turn(pixels, tag):
    # A phone held upright, as it wrote down what it felt.
    marked = exif_block({0x0112: short(1), 0x0131: text("no turn")}, {0x927C: maker_note((0, -1, 0))})
    data = encoded(pixels, "HEIF", quality=95, chroma=444, exif=marked)
    before, after = (b"\x01\x12\x00\x03\x00\x00\x00\x01\x00" + bytes([value]) for value in (1, tag))
    assert data.count(before) == 1
    assert b"irot" not in data
    return data.replace(before, after)


def test_lying_heic_without_a_turn_is_turned_by_its_tag():
    photo = read_photo(heic_with_a_tag_but_no_turn(PICTURE, 6))
    assert photo.facts.orientation == 6
    assert mean_difference(photo.pixels, np.rot90(PICTURE, -1)) <= 2.0
    assert photo.facts.gravity == pytest.approx((0, 1, 0))


def test_standing_heic_whose_pixels_were_turned_already_stays():
    standing = np.ascontiguousarray(np.rot90(PICTURE, -1))
    photo = read_photo(heic_with_a_tag_but_no_turn(standing, 6))
    assert mean_difference(photo.pixels, standing) <= 2.0
    assert photo.facts.gravity is None  # which turn the pixels got is not certain


def test_heic_gives_the_picture_that_went_in():
    data = encoded(PICTURE, "HEIF", quality=95, chroma=444)
    assert mean_difference(read_photo(data).pixels, PICTURE) <= 2.0


def test_heic_with_alpha_is_laid_on_white():
    see_through = np.dstack([PICTURE, np.zeros(PICTURE.shape[:2], np.uint8)])
    photo = read_photo(encoded(see_through, "HEIF", quality=-1, chroma=444))
    assert photo.pixels.min() >= 250


def test_grey_heic_has_three_equal_channels():
    grey = cv2.cvtColor(PICTURE, cv2.COLOR_RGB2GRAY)
    pixels = read_photo(encoded(grey, "HEIF", quality=95)).pixels
    assert mean_difference(pixels, np.dstack([grey] * 3)) <= 2.0


@pytest.mark.parametrize("bits", [10, 12])
def test_heic_of_more_bits_gives_eight(bits):
    wide = (PICTURE.astype(np.uint16) << (bits - 8)).tobytes()
    stream = io.BytesIO()
    pillow_heif.options.SAVE_HDR_TO_12_BIT = bits == 12
    pillow_heif.encode(f"RGB;{bits}", (120, 80), wide, stream, quality=95, chroma=444, bit_depth=bits)
    assert mean_difference(read_photo(stream.getvalue()).pixels, PICTURE) <= 2.0


def test_a_heic_cut_anywhere_is_refused():
    assert read_photo(HEIC)
    for length in range(12, len(HEIC)):
        with pytest.raises(PhotoError, match=r"HEIF file is (cut short|damaged)"):
            read_photo(HEIC[:length])


def test_a_heic_whose_last_box_runs_to_the_end_is_refused_when_cut():
    # Size 0 means "to the end of the file": only the item locations tell that it was cut.
    start = HEIC.index(b"mdat") - 4
    endless = HEIC[:start] + struct.pack(">I", 0) + HEIC[start + 4 :]
    assert read_photo(endless)
    with pytest.raises(PhotoError, match="cut short"):
        read_photo(endless[:-30])


def test_a_heic_that_ends_the_decoders_process_is_refused():
    # pi-heif 1.4.0 dies of a metadata item whose type is no UTF-8 (pillow-heif issue 478).
    place = HEIC.index(b"Exif")
    deadly = HEIC[:place] + b"E\xeaif" + HEIC[place + 4 :]
    with pytest.raises(PhotoError, match=r"HEIF file is damaged.*the decoder stopped"):
        read_photo(deadly)


def test_flipped_bytes_of_a_heic_give_a_photo_or_a_photo_error():
    rng = np.random.default_rng(2025)
    for _ in range(25):
        data = np.frombuffer(HEIC, np.uint8).copy()
        places = rng.integers(8, rng.choice([500, len(data)]), 2)
        data[places] = rng.integers(0, 256, len(places))
        try:
            assert isinstance(read_photo(data.tobytes()), Photo)
        except PhotoError as error:
            assert len(str(error)) > 20
