"""An archive with a few real photos of one strut, measured long ago by something else."""

from collections.abc import Iterator
from pathlib import Path

import cv2
import pytest

from app.inspection import Measured
from tests.app.records_house import STATED, House, open_house, reading
from tests.services.ground import Ground

PHOTOS = 5


@pytest.fixture(scope="session")
def photos(strut_photo: Path) -> list[bytes]:
    """Files of different bytes, all of the strut that is 88.9 mm long."""
    pixels = cv2.imread(str(strut_photo))
    return [
        cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, 95 - number])[1].tobytes()
        for number in range(PHOTOS)
    ]


def put(house: House, photo: bytes, value: float = 88.9, u: float = 0.4) -> str:
    """A try with this photo that gave this value then; its id."""
    begun = house.inspections.begin_try(house.mechanic, house.supporting.id, STATED, {})
    house.inspections.photo_arrived(house.mechanic, begun.id, photo, "IMG.jpg")
    house.inspections.measured(begun.id, Measured(reading(value, u).result))
    return begun.id


@pytest.fixture
def house(tmp_path: Path) -> Iterator[House]:
    opened = open_house(Ground(tmp_path / "home"))
    yield opened
    opened.archive.close()


@pytest.fixture
def shop(house: House, photos: list[bytes]) -> House:
    """The house with the photos; the last one was read 2 mm too long then."""
    for photo in photos[:-1]:
        put(house, photo)
    put(house, photos[-1], 90.9)
    return house
