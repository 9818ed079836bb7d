"""What a person gives, held against its limits: pure, with the doubt of the instrument in the verdict.

==========  =====================================================  ====================
given       finding                                                from
==========  =====================================================  ====================
by eye      as the person says; a fault needs words                `ByEye`
gauge       within → good, outside → fault, between → undecided    JCGM 106 guard band U
count       within its least and most → good, else fault           the document
wires       `cables.wires_verdict`                                 the document
==========  =====================================================  ====================

U of a gauge reading combines the instrument's with that of the mean of repeated
readings, t₉₅ s/√n (JCGM 100:2008 4.2.3 and G.3).
"""

import math
import statistics
from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from app.errors import UsageError
from app.inspection.base import checked_text, clean_text
from app.inspection.rounds.cables import interpolated, wires_verdict, worst_inch
from app.inspection.rounds.given import ByEye, Counted, Gauge, Given, Wires
from app.inspection.rounds.model import Chart, Finding, Instrument
from app.inspection.rounds.quantities import base_unit, to_base
from app.inspection.rounds.tire_gauge import as_document_states, is_of_tire
from app.programme import Item, LimitKind, Method
from vision.leg import Leg
from vision.results import Limits, Verdict
from vision.verdict import judge

_FINDINGS = {
    Verdict.WITHIN: Finding.GOOD,
    Verdict.OUTSIDE: Finding.FAULT,
    Verdict.UNDECIDED: Finding.UNDECIDED,
}
_T95 = (12.706, 4.303, 3.182, 2.776, 2.571, 2.447, 2.365, 2.306, 2.262)
"""Student's t for 95 % and 1 to 9 degrees of freedom (JCGM 100:2008 Table G.2; from memory)."""

Judged = tuple[Finding, str, dict[str, Any] | None, str | None]
"""Finding, words, reading as plain JSON, the instrument's id."""


def judged(
    item: Item,
    given: Given,
    leg: Leg,
    today: date,
    instruments: Mapping[str, Instrument],
    charts: Mapping[str, Chart],
) -> Judged:
    """Return the finding with what is kept of a person's answer to an item.

    Raises
    ------
    UsageError
        The answer does not fit the item, lacks something, or its instrument may not be used.
    """
    if isinstance(given, ByEye):
        return _by_eye(item, given)
    wanted = _method_of(item)
    if isinstance(given, Gauge) and wanted is Method.GAUGE_READING:
        return _gauge(item, given, leg, today, instruments, charts)
    if isinstance(given, Counted) and wanted is Method.COUNT and not item.broken_wires:
        return _counted(item, given)
    if isinstance(given, Wires) and item.broken_wires:
        return _wires(given)
    msg = f"{item.title}: this is not how the item is answered ({wanted.value.replace('_', ' ')})"
    raise UsageError(msg)


def _method_of(item: Item) -> Method:
    """A photo measurement that the program cannot make yet is done by gauge, a search by eye."""
    if item.method is Method.PHOTO_MEASUREMENT:
        return Method.GAUGE_READING
    return item.method


def quantity_of(item: Item) -> str:
    """Return what is read for an item: its quantity, or that of the photo measurement it replaces."""
    if item.quantity:
        return item.quantity
    return "angle" if any("angle" in name for name in item.measures[:1]) and not _is_creep(item) else "length"


def _is_creep(item: Item) -> bool:
    return "creep_arc" in item.measures


def _by_eye(item: Item, given: ByEye) -> Judged:
    if given.finding is Finding.UNDECIDED:
        msg = "By eye there is only good, fault or not fitted: what cannot be told is a fault, in words"
        raise UsageError(msg)
    if given.finding is Finding.GOOD:
        if _method_of(item) in (Method.GAUGE_READING, Method.COUNT):
            msg = f"{item.title}: a reading or a number is asked for, not a tick: give it"
            raise UsageError(msg)
        if item.limit is LimitKind.DOCUMENT:
            checked_text(given.document, "The document and its revision")
    else:
        checked_text(given.text, "What is wrong, or why it is not fitted,", 1000)
    document = clean_text(given.document)
    return given.finding, clean_text(given.text)[:1000], {"document": document} if document else None, None


def check_instrument(instrument: Instrument, quantity: str, today: date) -> None:
    """Refuse an instrument that is overdue, withdrawn, or reads something else.

    Raises
    ------
    UsageError
        With the instrument's number and what to do.
    """
    named = f"{instrument.kind} {instrument.number}"
    if instrument.withdrawn:
        msg = f"{named} was withdrawn ({instrument.withdrawn}): use another"
        raise UsageError(msg)
    if instrument.due < today:
        msg = f"{named} was due on {instrument.due}: use one whose calibration has not run out"
        raise UsageError(msg)
    if instrument.quantity != quantity:
        msg = f"{named} reads {instrument.quantity}, and {quantity} is asked for: choose another"
        raise UsageError(msg)


def _gauge(
    item: Item,
    given: Gauge,
    leg: Leg,
    today: date,
    instruments: Mapping[str, Instrument],
    charts: Mapping[str, Chart],
) -> Judged:
    instrument = instruments.get(given.instrument_id)
    if instrument is None:
        msg = "Every gauge reading names its instrument: choose one, or have it entered"
        raise UsageError(msg)
    quantity = quantity_of(item)
    check_instrument(instrument, quantity, today)
    if not given.values:
        msg = f"{item.title}: there is no reading: type what the gauge shows"
        raise UsageError(msg)
    more: dict[str, Any] = {}
    if quantity == "tension":
        value, doubt, limits, more = _tension(given, instrument, charts)
    else:
        read = [to_base(quantity, given.unit, one) for one in given.values]
        value, doubt = statistics.fmean(read), math.hypot(instrument.expanded_u, _scatter(read))
        limits = _limits(item, given, leg, quantity)
        if quantity == "pressure" and is_of_tire(item):
            value, doubt, more = as_document_states(item.title, given, leg.tire_pressure, value, doubt)
    verdict = judge(value, doubt, limits)
    if verdict is None:
        msg = f"{item.title}: a reading is held against a limit: type it with its document"
        raise UsageError(msg)
    if quantity == "pressure" and is_of_tire(item) and verdict is not Verdict.OUTSIDE:
        _require_lower(item, limits)
    reading = {
        "quantity": quantity,
        "unit": base_unit(quantity),
        "value": value,
        "expanded_u": doubt,
        "lower": limits.lower,
        "upper": limits.upper,
        "document": limits.document,
        "verdict": verdict.value,
        "as_read": {"values": list(given.values), "unit": given.unit},
        "instrument": {
            "kind": instrument.kind,
            "number": instrument.number,
            "due": instrument.due.isoformat(),
            "expanded_u": instrument.expanded_u,
        },
        **more,
    }
    return _FINDINGS[verdict], clean_text(given.text)[:1000], reading, instrument.id


def _require_lower(item: Item, limits: Limits) -> None:
    """Refuse to call a tire's pressure good by limits that a flat tire keeps."""
    if limits.lower is None or limits.lower <= 0:
        msg = (
            f"{item.title}: the lower limit is missing, and without it a flat tire would pass: have "
            "pressure_lower_kPa entered in the leg's data, or, where those hold no limit of the pressure, "
            "type the lowest pressure that the document allows"
        )
        raise UsageError(msg)


def _scatter(read: Sequence[float]) -> float:
    if len(read) < 2:
        return 0.0
    t = _T95[min(len(read) - 1, len(_T95)) - 1]
    return t * statistics.stdev(read) / math.sqrt(len(read))


def _tension(
    given: Gauge, instrument: Instrument, charts: Mapping[str, Chart]
) -> tuple[float, float, Limits, dict[str, Any]]:
    riser, allowed = charts.get(given.riser_id), charts.get(given.limits_id)
    if riser is None or riser.instrument_id != instrument.id:
        msg = f"The riser's chart of {instrument.kind} {instrument.number} for this cable is asked for"
        raise UsageError(msg)
    if allowed is None or allowed.aircraft_id is None or given.temperature_c is None:
        msg = "Tension is held against the aircraft's own table at its temperature: give both"
        raise UsageError(msg)
    read = [interpolated(riser.rows, one, f"scale {one:g}")[0] for one in given.values]
    value = statistics.fmean(read)
    temperature = float(given.temperature_c)
    lower, upper = interpolated(allowed.rows, temperature, f"{temperature:g} °C")
    limits = Limits(lower, upper, allowed.document)
    doubt = math.hypot(instrument.expanded_u, _scatter(read))
    more = {"temperature_c": temperature, "riser": riser.name, "cable": allowed.name}
    return value, doubt, limits, more


def _limits(item: Item, given: Gauge, leg: Leg, quantity: str) -> Limits:
    """The leg's own where the programme says so, else those typed with their document."""
    if item.limit is LimitKind.LEG_DATA:
        found = _leg_limits(item, leg)
        if found is not None:
            return found
    bounds = [
        None if one is None else to_base(quantity, given.unit, one) for one in (given.lower, given.upper)
    ]
    if bounds == [None, None]:
        msg = f"{item.title}: type the limit as the aircraft's document gives it"
        raise UsageError(msg)
    lower, upper = bounds
    if lower is not None and upper is not None and lower > upper:
        msg = f"{item.title}: the lower limit {given.lower:g} is above the upper {given.upper:g}: type again"
        raise UsageError(msg)
    return Limits(lower, upper, checked_text(given.document, "The limit's document and revision"))


def _leg_limits(item: Item, leg: Leg) -> Limits | None:
    tire, pressure = leg.tire, leg.tire_pressure
    names = {key for need in item.needs for key in need}
    if "tire.pressure_upper_kPa" in names and pressure and (pressure.lower_kpa or pressure.upper_kpa):
        return Limits(pressure.lower_kpa, pressure.upper_kpa, pressure.document)
    if tire is None:
        return None
    if "tire.creep_limit_mm" in names and tire.creep_limit_mm is not None:
        return Limits(-tire.creep_limit_mm, tire.creep_limit_mm, tire.document_of("creep_limit_mm"))
    if "tire.line_limit_deg" in names and tire.line_limit_deg is not None:
        return Limits(-tire.line_limit_deg, tire.line_limit_deg, tire.document_of("line_limit_deg"))
    return None


def _counted(item: Item, given: Counted) -> Judged:
    numbers = [one for one in (given.number, given.least, given.most) if one is not None]
    if any(one < 0 for one in numbers):
        msg = f"{item.title}: nothing is counted below zero: type it again"
        raise UsageError(msg)
    document = clean_text(given.document)
    if item.limit is LimitKind.DOCUMENT:
        document = checked_text(given.document, "The number's document and revision")
        if given.least is None and given.most is None:
            msg = f"{item.title}: type how many the document asks for or allows"
            raise UsageError(msg)
    too_few = given.least is not None and given.number < given.least
    too_many = given.most is not None and given.number > given.most
    verdict = Verdict.OUTSIDE if too_few or too_many else Verdict.WITHIN
    reading = {
        "counted": given.number,
        "least": given.least,
        "most": given.most,
        "document": document,
        "verdict": verdict.value,
    }
    return _FINDINGS[verdict], clean_text(given.text)[:1000], reading, None


def _wires(given: Wires) -> Judged:
    if min(given.most_in_inch, given.most_in_critical) < 0:
        msg = "The numbers of broken wires that are allowed are 0 or more: type them again"
        raise UsageError(msg)
    if not all(math.isfinite(one.at_mm) and one.at_mm >= 0 for one in given.breaks):
        msg = "A broken wire's place is its distance along the cable from the named end, 0 mm or more"
        raise UsageError(msg)
    verdict = wires_verdict(given.breaks, given.strand_broken, given.most_in_inch, given.most_in_critical)
    reading = {
        "breaks": [[one.at_mm, one.critical] for one in given.breaks],
        "counted": len(given.breaks),
        "worst_inch": worst_inch(given.breaks),
        "critical": sum(one.critical for one in given.breaks),
        "strand_broken": given.strand_broken,
        "most_in_inch": given.most_in_inch,
        "most_in_critical": given.most_in_critical,
        "document": checked_text(given.document, "The limit's document and revision"),
        "verdict": verdict.value,
    }
    return _FINDINGS[verdict], clean_text(given.text)[:1000], reading, None
