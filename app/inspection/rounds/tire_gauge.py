"""A tire's gauge pressure as its document states it: loaded or not, at a temperature; pure.

A gauge shows what the tire has now; a document states what it has loaded or off the
ground, at a temperature.  What was read is brought to that before it is held
against the limits (`vision.gauge`), with the doubt of the way in U.
"""

import math
from typing import Any

from app.errors import UsageError
from app.inspection.rounds.given import Gauge
from app.programme import Item, Method
from vision.gauge import Pressure, at_temperature, to_loaded, to_unloaded
from vision.leg import PressureData
from vision.results import COVERAGE_FACTOR

PRESSURE = "tire_pressure"
"""The key of a programme's item for the tire's gauge reading."""

LOADED, UNLOADED = "loaded", "unloaded"
STATE_U = 0.01
"""Standard uncertainty of the factor between the two, as a share: it goes with the load; judged."""
TEMPERATURE_U_C = 2.0
"""Standard uncertainty of how warm the gas is, told by the air about a cold tire; judged."""

TIRE_RESULTS = frozenset(
    {"pressure_line_angle", "creep_angle", "creep_arc", "outside_diameter", "loaded_radius", "deflection"}
)


def is_of_tire(item: Item) -> bool:
    """Return whether an item is a tire's pressure: by its key, or by the leg's data that limits it."""
    needs = {key for need in item.needs for key in need}
    return item.key == PRESSURE or any(key.startswith("tire.pressure") for key in needs)


def is_tire_photo(item: Item) -> bool:
    """Return whether an item measures a tire on a photo."""
    return item.method is Method.PHOTO_MEASUREMENT and bool(TIRE_RESULTS.intersection(item.measures))


def as_document_states(
    title: str, given: Gauge, stated: PressureData | None, value: float, expanded_u: float
) -> tuple[float, float, dict[str, Any]]:
    """Return a gauge pressure as the leg's document states it, its U, and what is kept of the way there.

    Parameters
    ----------
    stated : PressureData or None
        The leg's; with none what was told is kept and nothing is converted.
    value, expanded_u : float, kPa
        As the gauge showed it.

    Raises
    ------
    UsageError
        The document states the pressure loaded or unloaded, or at a temperature, and it was
        not told how it was read.
    """
    told: dict[str, Any] = {}
    read = Pressure(value, expanded_u / COVERAGE_FACTOR)
    if given.state not in ("", LOADED, UNLOADED):
        msg = f"{title}: {given.state!r} is neither {LOADED} nor {UNLOADED}: choose one"
        raise UsageError(msg)
    state, stated_c = (stated.state, stated.temperature_c) if stated else ("", None)
    if state and not given.state:
        msg = f"{title}: its limit is stated {state}: say whether the wheel was loaded or not"
        raise UsageError(msg)
    if given.state:
        told["state"] = given.state
    if given.temperature_c is not None:
        told["temperature_c"] = _checked_temperature(title, given.temperature_c)
    if state and state != given.state:
        changed = to_loaded(read) if state == LOADED else to_unloaded(read)
        read = Pressure(changed.kpa, math.hypot(changed.u_kpa, STATE_U * changed.kpa))
        told["stated"] = state
    if stated_c is not None:
        if given.temperature_c is None:
            msg = f"{title}: its limit is for {stated_c:g} °C: write down the temperature of the cold tire"
            raise UsageError(msg)
        if given.temperature_c != stated_c:
            read = at_temperature(read, given.temperature_c, stated_c, temperature_u_c=TEMPERATURE_U_C)
            told["stated_c"] = stated_c
    if read.kpa <= 0:
        msg = f"{title}: nothing is left of this pressure at the document's temperature: type both again"
        raise UsageError(msg)
    return read.kpa, COVERAGE_FACTOR * read.u_kpa, told


def _checked_temperature(title: str, given: float) -> float:
    if not (math.isfinite(given) and -60 <= given <= 90):
        msg = f"{title}: a cold tire is not at {given:g} °C: type the temperature in °C"
        raise UsageError(msg)
    return float(given)
