"""Real phone files, as the source archive of pillow-heif 1.8 carries them for its own tests.

Fetch with ``pip download --no-deps --no-binary :all: pillow-heif``, unpack, and name the
folder ``tests/images`` of it in the environment variable PHOTO_SAMPLES.
"""

import os
from pathlib import Path

import numpy as np
import pytest

from vision.errors import PhotoError
from vision.photo import read_photo

FOLDER = os.environ.get("PHOTO_SAMPLES")
pytestmark = [
    pytest.mark.needs_package("pillow-heif"),
    pytest.mark.skipif(
        FOLDER is None, reason="set PHOTO_SAMPLES to tests/images of the source archive of pillow-heif"
    ),
]


def sample(name):
    return next(Path(FOLDER).glob(name)).read_bytes()


def test_a_phone_photo_taken_standing_is_turned_once_with_gravity_down():
    photo = read_photo(sample("heif_other/arrow.heic"))
    assert photo.facts.orientation == 6
    assert photo.pixels.shape == (4032, 3024, 3)
    assert photo.facts.gravity == pytest.approx((0, 1, 0), abs=0.1)
    # An arrow drawn on paper: its point is up, its shaft below, so dark ink reaches widest in the upper half.
    ink = photo.pixels.min(axis=2) < 60
    spread = [np.ptp(np.flatnonzero(half.any(axis=0))) for half in np.array_split(ink, 2)]
    assert spread[0] > 1.5 * spread[1]


def test_gravity_points_to_where_the_uprights_of_a_real_photo_meet():
    """The camera looks up, so uprights meet above; tests signs of all three parts of the vector."""
    facts = read_photo(sample("heif_other/pug.heic")).facts
    right, down, into = facts.gravity
    meet = np.array([2015.5, 1511.5]) + facts.focal.f_px * np.array([right, down]) / into
    # The front edge of the cupboard, read by eye to some 10 px.
    top, bottom = np.array([662.0, 375.0]), np.array([388.0, 2675.0])
    along, wanted = top - bottom, meet - bottom
    angle = np.degrees(np.arctan2(along[0], -along[1]) - np.arctan2(wanted[0], -wanted[1]))
    # 10 px of 2300 are 0.25 deg, 3 % of the focal length 0.2 deg, the phone's own sensor 0.5 deg.
    assert abs(angle) <= 1.0


def test_a_photo_cut_after_it_was_taken_says_so():
    facts = read_photo(sample("heif_other/empty_icc.heic")).facts
    assert "cut or resized" in facts.focal.rule
    assert facts.focal.u_px > 0.2 * facts.focal.f_px


def test_a_zoomed_photo_says_so():
    facts = read_photo(sample("heif_special/x*.heic")).facts
    assert facts.digital_zoom == pytest.approx(1.5432, abs=1e-4)
    assert "digital zoom" in facts.focal.rule


def test_a_camera_photo_is_turned_against_the_clock():
    photo = read_photo(sample("heif_special/guitar_cw90.hif"))
    assert (photo.facts.width_px, photo.facts.height_px) == (4672, 7008)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("heif_special/200MP.heic", "12240 x 16320 pixels, more than the 120 megapixels"),
        ("heif_special/invalid_metadata_type.heic", "the decoder stopped"),
        ("heif_truncated/truncated.heic", "cut short"),
        ("heif_corrupted/corrupted.hif", "cut short"),
        ("heif_corrupted/empty.heic", "the file is empty"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(name, words):
    with pytest.raises(PhotoError, match=words):
        read_photo(sample(name))


@pytest.mark.parametrize("name", ["heif_other/pug.heic", "heif_other/arrow.heic", "heif_special/x*.heic"])
@pytest.mark.parametrize("kept", [0.1, 0.5, 0.9, 0.999])
def test_a_cut_phone_photo_is_refused(name, kept):
    data = sample(name)
    with pytest.raises(PhotoError, match="cut short"):
        read_photo(data[: int(len(data) * kept)])
