"""The rule that nothing read on a tire's photo closes without a good cold gauge reading; what was lost since.

The gauge's reading is an item of its own (`tire_gauge.PRESSURE`); a photo shows how a tire
stands, and a tire that stands right can be at half its pressure.
"""

from datetime import datetime
from typing import Any, NamedTuple

from app.inspection.model import Inspection, Item, Person
from app.inspection.ports import Reader
from app.inspection.rounds.batches import current_answer
from app.inspection.rounds.common import (
    RoundCases,
    base_key,
    original_item,
    programme_item,
    require_programme,
    wheel_of,
)
from app.inspection.rounds.model import Answer, Finding
from app.inspection.rounds.tire_gauge import PRESSURE, TEMPERATURE_U_C, is_tire_photo
from vision.gauge import Pressure, at_temperature, loss_per_day
from vision.results import COVERAGE_FACTOR

LACKING = "its tire has no good cold gauge reading, and a photo does not replace it"
"""Why an item read on a tire's photo does not close."""


def good_pressure(r: Reader, item: Item) -> Answer | None:
    """Return the newest answer to the pressure of an item's tire where it is a good gauge reading, else None.

    A re-inspection after something was done about it counts as the item itself.
    """
    wheel = wheel_of(r, item)
    found = [
        answer
        for other in r.all(Item, inspection_id=item.inspection_id, leg_id=item.leg_id)
        if base_key(original_item(r, other).key) == PRESSURE and wheel_of(r, other) == wheel
        for answer in [current_answer(r, other.id)]
        if answer is not None
    ]
    last = max(found, key=lambda one: (one.at, one.id), default=None)
    reads = last is not None and last.reading is not None and last.reading.get("quantity") == "pressure"
    return last if reads and last is not None and last.finding is Finding.GOOD else None


def lacks_pressure(r: Reader, item: Item) -> bool:
    """Return whether an item is read on a tire's photo while the tire has no good gauge reading."""
    wanted = programme_item(r, require_programme(r, item.inspection_id), item)
    return is_tire_photo(wanted) and good_pressure(r, item) is None


class Loss(NamedTuple):
    """What a tire has lost between two visits, as a share in 24 h, its expanded U, and since when."""

    share: float
    expanded_u: float
    since: datetime


class TirePressures(RoundCases):
    """What follows from a tire's gauge readings over the visits."""

    def pressure_loss(self, person: Person, item_id: str) -> Loss | None:
        """Return what the tire has lost since the last visit, to who has read its gauge now; else None."""
        with self._records.look() as r:
            mine = current_answer(r, item_id)
            if mine is None or mine.person_id != person.id:
                return None
            return loss_since(r, mine)


def loss_since(r: Reader, answer: Answer) -> Loss | None:
    """Return what was lost since the visit before, or None where the two readings cannot be compared.

    Both must be told in the same state, brought to one temperature; a tire that was filled
    up between them has lost less than nothing, and that is what is told then.
    """
    this = r.get(Item, answer.item_id)
    earlier = [
        one
        for item in r.all(Item, leg_id=this.leg_id, key=this.key)
        if item.inspection_id != this.inspection_id
        and r.get(Inspection, item.inspection_id).closed_at is not None
        for one in [current_answer(r, item.id)]
        if one is not None and one.reading is not None and one.at < answer.at
    ]
    before = max(earlier, key=lambda one: one.at, default=None)
    if before is None or answer.reading is None:
        return None
    first, later = _comparable(before.reading or {}), _comparable(answer.reading)
    if first is None or later is None or first[1] != later[1]:
        return None
    hours = (answer.at - before.at).total_seconds() / 3600
    share, u = loss_per_day(first[0], later[0], hours)
    return Loss(share, COVERAGE_FACTOR * u, before.at)


def _comparable(reading: dict[str, Any]) -> tuple[Pressure, tuple[Any, ...]] | None:
    """A reading's pressure, and in which state and at which temperature it is told."""
    value, u = reading.get("value"), reading.get("expanded_u")
    temperature = reading.get("stated_c", reading.get("temperature_c"))
    if value is None or u is None or temperature is None or "state" not in reading:
        return None
    pressure = Pressure(value, u / COVERAGE_FACTOR)
    if "stated_c" not in reading:
        pressure = at_temperature(pressure, temperature, 15.0, temperature_u_c=TEMPERATURE_U_C)
        temperature = 15.0
    return pressure, (reading.get("stated", reading["state"]), temperature)
