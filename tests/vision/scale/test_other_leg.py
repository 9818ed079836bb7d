"""A photo with the tag of another leg is refused by name; without a tag nothing contradicts."""

import cv2
import numpy as np
import pytest

from tests.vision.surface.drawn import jpeg, light_of
from vision.leg import load_leg
from vision.photo import read_photo
from vision.results import Refusal
from vision.scale import other_leg


def photo(tag: int | None):
    light = light_of()
    if tag is not None:
        dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
        light[100:340, 100:340] = 0.8
        marker = cv2.aruco.generateImageMarker(dictionary, tag, 160) / 255
        light[140:300, 140:300] = np.where(marker > 0.5, 0.8, 0.03)
    return read_photo(jpeg(light))


def leg(tag: int | None):
    told = "" if tag is None else f"leg_tag = {tag}\n"
    return load_leg(f'aircraft = "demo"\nposition = "nose"\ndocument = "demo"\n{told}')


def test_another_legs_tag_is_refused_with_both_numbers() -> None:
    found = other_leg("surface_search", leg(413), None, photo(412))
    assert isinstance(found, Refusal)
    assert (found.name, found.remedy.code) == ("surface_search", "wrong-leg")
    assert "412" in found.reason and "413" in found.reason


@pytest.mark.parametrize("seen, own", [(412, 412), (None, 412), (412, None)])
def test_the_own_tag_no_tag_and_a_leg_without_one_contradict_nothing(seen, own) -> None:
    assert other_leg("surface_search", leg(own), photo(seen)) is None
