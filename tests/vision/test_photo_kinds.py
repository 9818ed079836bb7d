"""The same picture comes out of every kind of file, upright, and twice the same way round."""

import io

import cv2
import numpy as np
import pytest
from PIL import Image, ImageOps

from tests.scenes.photo_files import encoded, exif_block, mean_difference, raw_png, short, smooth_picture
from vision.errors import PhotoError
from vision.photo import read_photo

PICTURE = smooth_picture(120, 80)


def oriented(tag):
    return exif_block({0x0112: short(tag)})


def test_jpeg_pixels_are_those_of_a_second_decoder():
    data = encoded(PICTURE, quality=90)
    with Image.open(io.BytesIO(data)) as image:
        outside = np.asarray(image.convert("RGB"))
    assert mean_difference(read_photo(data).pixels, outside) <= 1.0


def test_pixels_cannot_be_written_to():
    photo = read_photo(encoded(PICTURE))
    assert photo.pixels.dtype == np.uint8
    assert photo.pixels.shape == (80, 120, 3)
    assert not photo.pixels.flags.writeable


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
@pytest.mark.parametrize("tag", range(1, 9))
def test_orientation_is_applied_once_as_pillow_does(kind, tag):
    data = encoded(PICTURE, kind, exif=oriented(tag))
    with Image.open(io.BytesIO(data)) as image:
        outside = np.asarray(ImageOps.exif_transpose(image).convert("RGB"))
    photo = read_photo(data)
    assert photo.pixels.shape == outside.shape
    assert mean_difference(photo.pixels, outside) <= 1.0
    assert photo.facts.orientation == tag
    assert (photo.facts.height_px, photo.facts.width_px) == outside.shape[:2]


def test_grey_jpeg_has_three_equal_channels():
    grey = cv2.cvtColor(PICTURE, cv2.COLOR_RGB2GRAY)
    pixels = read_photo(encoded(grey, quality=95)).pixels
    assert np.ptp(pixels, axis=2).max() == 0
    assert mean_difference(pixels[..., 0], grey) <= 1.5


def test_cmyk_jpeg_gives_the_inverse_of_its_inks():
    inks = np.dstack([255 - PICTURE, np.zeros(PICTURE.shape[:2], np.uint8)])
    stream = io.BytesIO()
    image = Image.frombytes("CMYK", (120, 80), inks.tobytes())
    image.save(stream, "JPEG", quality=95, subsampling=0, exif=oriented(3))
    photo = read_photo(stream.getvalue())
    assert mean_difference(photo.pixels, np.rot90(PICTURE, 2)) <= 2.0


def test_progressive_jpeg_is_read():
    data = encoded(PICTURE, quality=95, progressive=True, subsampling=0)
    assert mean_difference(read_photo(data).pixels, PICTURE) <= 1.5


def test_first_picture_of_several_is_taken():
    stream = io.BytesIO()
    second = Image.fromarray(255 - PICTURE)
    Image.fromarray(PICTURE).save(stream, "MPO", save_all=True, append_images=[second], quality=95)
    photo = read_photo(stream.getvalue())
    assert photo.facts.format == "JPEG"
    assert mean_difference(photo.pixels, PICTURE) <= 2.0


@pytest.mark.parametrize(("colour", "channels"), [(0, 1), (2, 3), (4, 2), (6, 4)])
def test_png_of_sixteen_bits_equals_its_twin_of_eight(colour, channels):
    samples = np.dstack([PICTURE, PICTURE[::-1, :, :1]])[..., -channels:].copy()
    samples[0, 0], samples[0, 1] = 0, 255
    eight = raw_png(samples, colour)
    # 257 * v is v in 16 bits exactly; up to 128 either way rounds back to it.
    moved = samples.astype(np.int32) * 257 + np.resize([-128, -1, 0, 1, 128], samples.shape)
    # Alpha itself is kept exact, since its product with a colour rounds once more.
    if channels in (2, 4):
        moved[..., -1] = samples[..., -1].astype(np.int32) * 257
    sixteen = raw_png(np.clip(moved, 0, 65535).astype(np.uint16), colour)
    np.testing.assert_array_equal(read_photo(sixteen).pixels, read_photo(eight).pixels)


def test_alpha_of_a_png_is_laid_on_white():
    alpha = np.tile(np.linspace(0, 255, 120).round().astype(np.uint8), (80, 1))
    pixels = read_photo(raw_png(np.dstack([PICTURE, alpha]), 6)).pixels
    share = alpha[..., None] / 255
    wanted = PICTURE * share + 255 * (1 - share)
    assert np.abs(pixels - wanted).max() <= 0.5 + 1e-9


@pytest.mark.parametrize("mode", ["P", "L", "1"])
def test_png_of_few_colours_gives_what_pillow_shows(mode):
    data = encoded(PICTURE, "PNG", mode=mode)
    with Image.open(io.BytesIO(data)) as image:
        outside = np.asarray(image.convert("RGB"))
    np.testing.assert_array_equal(read_photo(data).pixels, outside)


def test_transparent_colour_of_a_palette_becomes_white():
    image = Image.new("P", (2, 1))
    image.putpalette([10, 20, 30, 200, 100, 50])
    image.putpixel((1, 0), 1)
    stream = io.BytesIO()
    image.save(stream, "PNG", transparency=0)
    assert read_photo(stream.getvalue()).pixels.tolist() == [[[255, 255, 255], [200, 100, 50]]]


def test_a_jpeg_counts_as_one_whatever_surrounds_its_name():
    assert read_photo(bytearray(encoded(PICTURE))).facts.format == "JPEG"


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "the file is empty"),
        (b"<html>not found</html>", "holds text and no picture.*JPEG, HEIC or PNG"),
        ("Schäden am Rad\n".encode() * 60, "holds text and no picture"),
        (bytes(range(256)), "no photo of a known kind"),
        (encoded(PICTURE, "GIF"), "a GIF animation"),
        (encoded(PICTURE, "WEBP"), "a WebP picture"),
        (encoded(PICTURE, "TIFF"), "a TIFF or raw picture"),
        (encoded(PICTURE, "BMP"), "a BMP picture"),
        (b"\0\0\0\x18ftypmp42" + bytes(80), "a film"),
        (b"\0\0\0\x18ftypavif" + bytes(80), "an AVIF picture"),
        (b"%PDF-1.7\n", "a PDF document"),
        (b"\xff\xd8\xff\xd9", "JPEG file is damaged.*no picture"),
    ],
)
def test_what_is_no_photo_is_refused_in_words(data, words):
    with pytest.raises(PhotoError, match=words):
        read_photo(data)


def test_animated_png_is_refused():
    stream = io.BytesIO()
    frames = [Image.fromarray(np.roll(PICTURE, k, axis=1)) for k in range(3)]
    frames[0].save(stream, "PNG", save_all=True, append_images=frames[1:])
    with pytest.raises(PhotoError, match="the PNG file is animated"):
        read_photo(stream.getvalue())


def test_png_that_says_it_is_huge_is_refused_before_decoding():
    bomb = raw_png(np.zeros((2, 2, 3), np.uint8), 2, size=(60_000, 60_000))
    with pytest.raises(PhotoError, match="60000 x 60000 pixels, more than the 120 megapixels"):
        read_photo(bomb)


def test_jpeg_that_says_it_is_huge_is_refused_before_decoding():
    data = bytearray(encoded(PICTURE))
    size = data.index(b"\xff\xc0") + 5
    data[size : size + 4] = b"\xff\xff\xff\xff"
    with pytest.raises(PhotoError, match="65535 x 65535 pixels"):
        read_photo(bytes(data))


def test_png_between_pillows_own_limit_and_ours_is_read_without_a_warning():
    wide = raw_png(np.zeros((9_000, 11_000, 1), np.uint8), 0)
    assert read_photo(wide).facts.width_px == 11_000


def test_file_beyond_the_limit_of_bytes_is_refused():
    with pytest.raises(PhotoError, match="the file has 80 MB, more than the 80 MB"):
        read_photo(bytes(80_000_001))
