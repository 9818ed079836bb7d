"""A leg with a past: one visit a week, each closed before the next one."""

from datetime import timedelta

from app.inspection import Confirmation, LegEntry
from tests.app.records_house import House


def visited(house: House, value: float, leg: LegEntry | None = None, days: float = 7) -> Confirmation:
    """A confirmed reading on a visit of its own, some days after the last."""
    house.clock.at += timedelta(days=days)
    signed = house.confirmed(value, leg)
    place = house.inspections.place_of(house.item_of(signed).id)
    house.inspections.close_inspection(house.mechanic, place.inspection.id)
    return signed
