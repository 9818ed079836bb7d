"""An archive with everything that an export tells of, on both grounds, with photos that are photos."""

import io

import pytest
from PIL import Image, TiffImagePlugin

from app.inspection import Measured
from tests.app.both_grounds import empty_ground, ground, grounds, house
from tests.app.records_house import OUTSIDE, PASSWORD, STATED, WITHIN, House, reading, refusal

__all__ = ["empty_ground", "ground", "grounds", "house"]
SIZE = (64, 48)
PIXELS = {"from_px": [20.0, 30.25], "to_px": [21.5, 10.0], "card_px": [[2, 3], [12, 3], [12, 40], [2, 40]]}


def photo_with_place(shade: int) -> bytes:
    """A JPEG whose EXIF tells a place, a make and a serial number."""
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "Maker", "Model 1"
    degrees = TiffImagePlugin.IFDRational
    exif.get_ifd(0x8825).update(
        {1: "N", 2: (degrees(51), degrees(30), degrees(0)), 3: "E", 4: (degrees(7),) * 3}
    )
    exif.get_ifd(0x8769).update({0xA431: "SERIAL-4711", 0x9286: b"ASCII\0\0\0not for others"})
    stream = io.BytesIO()
    Image.new("RGB", SIZE, (40 * shade % 256, 90, 60)).save(stream, "JPEG", exif=exif)
    return stream.getvalue()


def picture(shade: int) -> bytes:
    stream = io.BytesIO()
    Image.new("RGB", SIZE, (30, 40 * shade % 256, 200)).save(stream, "JPEG")
    return stream.getvalue()


def photographed(
    house: House, value: float | Measured, number: int, leg: object = None, drawn: int | None = None
) -> str:
    """A try that is measured and sent; its id."""
    measured = reading(value) if isinstance(value, float) else value
    measured.result["evidence"] = dict(PIXELS)
    begun = house.inspections.begin_try(
        house.mechanic, (leg or house.primary).id, STATED, {"stand_off_mm": 4.0}
    )
    house.inspections.photo_arrived(house.mechanic, begun.id, photo_with_place(number), f"IMG_{number}.jpg")
    house.inspections.measured(begun.id, Measured(measured.result, picture(drawn or number)))
    house.inspections.send(house.mechanic, begun.id)
    return begun.id


def fill(house: House) -> House:
    """A refusal and a hand measurement on one leg; within, then outside with a discrepancy on the other."""
    refused = photographed(house, refusal(), 1, house.supporting)
    item = house.inspections.comparison(house.mechanic, refused).place.item
    house.by_hand(house.mechanic, item, 89.0)
    outside = photographed(house, OUTSIDE, 2)
    house.sign(house.inspector, _placed(house, outside, OUTSIDE))
    return house


def close(house: House, number: int = 3) -> str:
    """An inspection with one reading, confirmed and closed; its id.  Its annotated copy is always the same."""
    within = photographed(house, WITHIN, number, drawn=3)
    shown = _placed(house, within, WITHIN)
    house.sign(house.inspector, shown)
    inspection = shown.place.inspection
    house.inspections.close_inspection(house.inspector, inspection.id)
    return inspection.id


def _placed(house: House, try_id: str, value: float):  # type: ignore[no-untyped-def]
    house.inspections.place(house.inspector, try_id, (20.0, 30.0), (21.0, 30.0 + 10 * value))
    return house.inspections.comparison(house.inspector, try_id)


@pytest.fixture
def full(house: House) -> House:
    """The filled house, its inspection still open."""
    assert PASSWORD
    return fill(house)
