"""What the file says beside its pixels, against what was written into it and against a second reader."""

import io
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from PIL import Image

from tests.scenes.photo_files import encoded, exif_block, maker_note, ratio, short, smooth_picture, text
from vision.photo import read_photo
from vision.photo.exif import read_exif
from vision.photo.focal import FILM_DIAGONAL_MM, focal_prior

PICTURE = smooth_picture(80, 60)
TAKEN = {0x9003: text("2031:05:06 07:08:09")}


def facts(main=None, photo=None, pixels=PICTURE):
    return read_photo(encoded(pixels, exif=exif_block(main or {0x0131: text("x")}, photo))).facts


def test_texts_are_those_of_the_file():
    found = facts(
        {0x010F: text("Phone works"), 0x0110: text("P 1"), 0x0131: text("9.9"), 0x010E: text("left main")}
    )
    assert (found.make, found.model, found.software, found.description) == (
        "Phone works",
        "P 1",
        "9.9",
        "left main",
    )


def test_text_is_one_printable_line():
    assert facts({0x010E: text("two\nlines\x1b[31m and more")}).description == "twolines[31m and more"


def test_a_file_without_exif_has_plain_facts():
    found = read_photo(encoded(PICTURE, "PNG")).facts
    assert (found.format, found.width_px, found.height_px, found.orientation) == ("PNG", 80, 60, 1)
    assert (found.make, found.taken_at, found.focal_35mm, found.gravity) == ("", None, None, None)


@pytest.mark.parametrize("tag", [0, 9, 77])
def test_an_orientation_that_does_not_exist_turns_nothing(tag):
    photo = read_photo(encoded(PICTURE, exif=exif_block({0x0112: short(tag)})))
    assert photo.facts.orientation == 1
    assert photo.pixels.shape == (60, 80, 3)


@pytest.mark.parametrize("kind", ["JPEG", "PNG"])
def test_the_own_exif_reader_finds_what_pillows_finds(kind):
    data = encoded(PICTURE, kind, exif=exif_block({0x0112: short(1), 0x010F: text("Phone works")}, {
        **TAKEN, 0xA405: short(26), 0xA404: ratio(3, 2), 0xA002: short(80), 0x927C: maker_note((-1, 0, 0)),
    }))  # fmt: skip
    with Image.open(io.BytesIO(data)) as image:
        outside = image.getexif()
        block = image.info["exif"].removeprefix(b"Exif\0\0")
    own = read_exif(block)
    for directory, wanted in ((own.main, dict(outside)), (own.photo, outside.get_ifd(0x8769))):
        assert set(directory) == set(wanted)
        for tag, field in directory.items():
            value = wanted[tag]
            if isinstance(value, str):
                assert field.text() == value
            elif isinstance(value, bytes):
                assert field.raw == value
            else:
                assert field.numbers() == (pytest.approx(float(value)),)


def test_little_endian_exif_is_read():
    stream = io.BytesIO()
    tags = {0x010F: "Phone works", 0x0112: 6}
    Image.fromarray(PICTURE).save(stream, "TIFF", tiffinfo=tags)  # a second writer, in Intel's order
    own = read_exif(stream.getvalue())
    assert stream.getvalue().startswith(b"II*")
    assert own.text(0x010F) == "Phone works"
    assert own.number(0x0112) == 6


def test_time_taken_carries_its_offset_where_the_file_tells_it():
    found = facts(photo={**TAKEN, 0x9011: text("-05:00")})
    assert found.taken_at == datetime(2031, 5, 6, 7, 8, 9, tzinfo=timezone(timedelta(hours=-5)))
    assert found.taken_at.astimezone(UTC).hour == 12


def test_time_taken_is_naive_without_an_offset():
    assert facts(photo=TAKEN).taken_at == datetime(2031, 5, 6, 7, 8, 9)


@pytest.mark.parametrize("value", ["0000:00:00 00:00:00", "    :  :     :  :  ", "yesterday", ""])
def test_a_time_that_is_none_is_none(value):
    assert facts(photo={0x9003: text(value)}).taken_at is None


def test_focal_length_lies_between_the_two_rules_with_three_percent():
    # 4000 x 3000, 27 mm: 27/43.267*5000 = 3120.2 px and 27/36*4000 = 3000 px.
    prior = focal_prior((4000, 3000), 27.0)
    assert prior.f_px == pytest.approx((3120.2 + 3000) / 2, abs=0.1)
    assert prior.u_px / prior.f_px == pytest.approx(0.030, abs=0.0005)
    assert "middle of the diagonal rule and the width rule" in prior.rule


def test_focal_length_does_not_depend_on_the_turn():
    assert focal_prior((4000, 3000), 27.0) == focal_prior((3000, 4000), 27.0)


@pytest.mark.parametrize("stated", [None, 0.0, 0.5, 9e9])
def test_without_a_focal_length_a_wide_guess_is_made(stated):
    prior = focal_prior((4000, 3000), stated)
    assert prior.f_px == pytest.approx(27 / FILM_DIAGONAL_MM * 5000)
    assert prior.u_px == pytest.approx(prior.f_px / 4)
    assert prior.rule == "no focal length in the photo"


def covers(prior, truth_px):
    # Rectangular doubt: the half width is sqrt(3) standard uncertainties.
    return abs(prior.f_px - truth_px) <= np.sqrt(3) * prior.u_px


def test_digital_zoom_widens_the_doubt_to_both_meanings():
    prior = focal_prior((4000, 3000), 27.0, digital_zoom=2.0)
    assert covers(prior, 3000)
    assert covers(prior, 2 * 3120)
    assert "digital zoom 2 perhaps not in it" in prior.rule


def test_a_photo_cut_or_resized_covers_both_meanings():
    prior = focal_prior((2000, 1500), 27.0, taken_size=(4000, 3000))
    assert covers(prior, 1500)
    assert covers(prior, 3120)
    assert "cut or resized" in prior.rule


def test_a_trimmed_or_turned_photo_is_no_cut_one():
    assert focal_prior((3000, 4000), 27.0, taken_size=(4000, 3008)) == focal_prior((3000, 4000), 27.0)


def test_facts_carry_the_focal_length_and_the_zoom_of_the_file():
    found = facts(photo={0xA405: short(26), 0xA404: ratio(3, 2), 0xA002: short(80), 0xA003: short(60)})
    assert (found.focal_35mm, found.digital_zoom) == (26.0, 1.5)
    assert found.focal == focal_prior((80, 60), 26.0, digital_zoom=1.5)


def test_a_focal_length_of_zero_and_a_zoom_of_zero_are_none():
    found = facts(photo={0xA405: short(0), 0xA404: ratio(0, 0)})
    assert (found.focal_35mm, found.digital_zoom) == (None, None)
    assert found.focal.rule == "no focal length in the photo"


LEVEL = {1: (-1, 0, 0), 6: (0, -1, 0), 3: (1, 0, 0), 8: (0, 1, 0)}


def gravity(vector, tag, **more):
    photo = {0x927C: maker_note(vector), **{int(k[1:], 16): v for k, v in more.items()}}
    return facts({0x0112: short(tag)}, photo).gravity


@pytest.mark.parametrize("tag", LEVEL)
def test_a_level_phone_feels_gravity_straight_down_the_upright_photo(tag):
    assert gravity(LEVEL[tag], tag) == pytest.approx((0, 1, 0), abs=1e-4)


@pytest.mark.parametrize("tag", LEVEL)
def test_gravity_turns_with_the_phone(tag):
    # The phone rolled by 10 deg so that the photo's right side dips: phone frame seen from
    # its screen, x right, y up, so that side lies a quarter turn before "down" counter-clockwise.
    roll, pitch = np.radians(10), np.radians(20)
    down = np.array(LEVEL[tag], float)
    right = np.array([-down[1], down[0], 0])
    felt = np.cos(pitch) * (np.cos(roll) * down + np.sin(roll) * right)
    felt[2] = -np.sin(pitch)  # the camera, on the back, looks down
    wanted = (np.cos(pitch) * np.sin(roll), np.cos(pitch) * np.cos(roll), np.sin(pitch))
    assert gravity(felt, tag) == pytest.approx(wanted, abs=1e-4)


def test_gravity_in_the_sensors_frame_of_a_photo_turned_already_is_not_used():
    assert gravity(LEVEL[6], 1) is None


@pytest.mark.parametrize("tag", [2, 4, 5, 7])
def test_gravity_of_a_mirrored_photo_is_not_used(tag):
    assert gravity((0, -1, 0), tag) is None


@pytest.mark.parametrize("scale", [0.89, 1.11, 0.0])
def test_gravity_of_a_shaken_phone_is_not_used(scale):
    assert gravity((0, -scale, 0), 6) is None


@pytest.mark.parametrize(("pitch_deg", "known"), [(59, True), (61, False), (90, False)])
@pytest.mark.parametrize("side", [1, -1])
def test_level_is_undefined_when_the_camera_looks_steeply(pitch_deg, known, side):
    pitch = np.radians(pitch_deg)
    assert (gravity((0, -np.cos(pitch), side * np.sin(pitch)), 6) is not None) == known


def test_gravity_of_the_camera_beside_the_screen_is_not_used():
    assert gravity(LEVEL[6], 6, xA434=text("P 1 front camera")) is None


@pytest.mark.parametrize("cut", [3, 13, 15, 20, 30, 45])
def test_a_cut_note_gives_no_gravity(cut):
    kind, _, raw = maker_note((0, -1, 0))
    assert facts({0x0112: short(6)}, {0x927C: (kind, cut, raw[:cut])}).gravity is None
