"""The rule that nothing read on a tire's photo closes without a good cold gauge reading; what was lost since.

The gauge's reading is an item of its own (`tire_gauge.PRESSURE`); a photo shows how a tire
stands, and a tire that stands right can be at half its pressure.
"""

from datetime import datetime, timedelta
from statistics import fmean
from typing import Any, NamedTuple

from app.errors import Conflict
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
from app.inspection.rounds.model import Action, Answer, Finding
from app.inspection.rounds.quantities import to_base
from app.inspection.rounds.tire_gauge import PRESSURE, TEMPERATURE_U_C, is_tire_photo
from app.inspection.rounds.tire_standing import last_work
from vision.gauge import Pressure, at_temperature, loss_per_day
from vision.results import COVERAGE_FACTOR
from vision.units import format_reading

LACKING = "its tire has no good cold gauge reading, and a photo does not replace it"
"""Why an item read on a tire's photo does not close."""

GAUGE_COUNTS = timedelta(hours=24)
"""How long a gauge reading lets the tire be photographed: cold reading before first flight of the day is
common practice, no source."""

SHOWN = "%d %b %Y, %H:%M"
"""How a time is told, in UTC."""


def good_pressure(r: Reader, item: Item) -> Answer | None:
    """Return the newest answer to the pressure of an item's tire where it is a good gauge reading, else None.

    A re-inspection after something was done about it counts as the item itself.  What was read
    before the last work on the tire tells nothing of the tire that is there now.
    """
    last = _newest_good(r, item)
    return None if last is None or _worked_since(r, item, last.at) else last


def _newest_good(r: Reader, item: Item) -> Answer | None:
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


def _worked_since(r: Reader, item: Item, at: datetime) -> Action | None:
    """The last work on the tire of an item on its visit, where it was done after a time."""
    done = last_work(r, item, [item.inspection_id])
    return None if done is None or done.at < at else done


def gauge_locks(r: Reader, item: Item, at: datetime) -> list[str]:
    """Return what is wrong with the gauge reading of an item's tire for a photo that is begun at a time."""
    last = _newest_good(r, item)
    if last is None:
        return ["Read the gauge first: no good cold gauge reading of this tire stands."]
    done = _worked_since(r, item, last.at)
    again = f"Read the gauge again: it was read {last.at:{SHOWN}} UTC"
    if done is not None:
        return [f"{again}, before the tire or its wheel was worked on ({_work_words(done)}). "
                "Correct its reading and say why."]  # fmt: skip
    if at - last.at > GAUGE_COUNTS:
        hours = GAUGE_COUNTS.total_seconds() / 3600
        return [f"{again}, more than {hours:g} h before. Correct its reading and say why."]
    return []


def require_no_work_since(r: Reader, item: Item, at: datetime) -> None:
    """Refuse a photo that was begun before the tire was worked on.

    Raises
    ------
    Conflict
        It shows the tire as it was before that.
    """
    done = _worked_since(r, item, at)
    if done is not None:
        msg = (
            f"The tire or its wheel was worked on ({_work_words(done)}) since this photo was begun: "
            "photograph it again."
        )
        raise Conflict(msg)


def _work_words(done: Action) -> str:
    return f"{done.kind.value}, {done.at:{SHOWN}} UTC"


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
    """Return what was lost since the last good reading of an earlier visit, or None where none can be told.

    A reading that was found low and filled up is no beginning: its re-inspection is.  Both
    must be told in the same state, brought to one temperature, and nothing that lets the air out may lie
    between them; a tire that was filled up without a word has lost less than nothing, and that is told then.
    """
    this = r.get(Item, answer.item_id)
    ours = [one for one in r.all(Item, leg_id=this.leg_id) if original_item(r, one).key == this.key]
    earlier = [
        one
        for item in ours
        if item.inspection_id != this.inspection_id
        and r.get(Inspection, item.inspection_id).closed_at is not None
        for one in [current_answer(r, item.id)]
        if one is not None and one.reading is not None and one.finding is Finding.GOOD and one.at < answer.at
    ]
    before = max(earlier, key=lambda one: one.at, default=None)
    if before is None or answer.reading is None:
        return None
    done = last_work(r, this, {one.inspection_id for one in ours})
    if done is not None and before.at < done.at < answer.at:
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


def gauge_words(answer: Answer, *, cold: bool) -> str:
    """Return the statement of a good gauge reading: when and what was read, and what became of it.

    Parameters
    ----------
    cold : bool
        It was told that the tire was cold when it was read.
    """
    reading = answer.reading or {}
    state, warm = reading.get("state", ""), reading.get("temperature_c")
    told = format_reading(reading["value"], reading["expanded_u"], reading["unit"])
    as_read, how = reading.get("as_read"), _how(state, warm)
    if as_read and ("stated" in reading or "stated_c" in reading):
        read = fmean(to_base("pressure", as_read["unit"], one) for one in as_read["values"])
        became = _how(reading.get("stated", state), reading.get("stated_c", warm))
        what = f"read {read:.4g} {reading['unit']}{how}, {told}{became}"
    else:
        what = f"read {told}{how}"
    on = " on the cold tire" if cold else ""
    return f"Gauge{on}, {answer.at:{SHOWN}} UTC: {what}."


def _how(state: str, warm: float | None) -> str:
    return (f" {state}" if state else "") + ("" if warm is None else f" at {warm:g} °C")
