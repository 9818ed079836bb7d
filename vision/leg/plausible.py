"""Does a value look like another unit?  Then it is an error that names both readings.

A piston of 2.36 is 2.36 mm or 2.36 in; nobody but the person who typed it can
know, so nothing is converted.  ``--accept-units`` (here: not calling this
module) takes every value as its key says.
"""

from collections.abc import Sequence
from typing import NoReturn

from vision.leg.keys import CHART_PRESSURE_WINDOW_KPA, OTHER_UNITS, Key, Kind
from vision.leg.table import Table, fail
from vision.units import INCH_MM

_LIKE = 0.35
"""Two values are "the same in another unit" where they agree to this share after conversion."""

_NARROWEST_TOLERANCE_MM = 0.75
"""A tolerance below this is inches on a strut: ± 1/4 in is usual (common practice, no source)."""

_LARGEST_U_SHARE = 0.25


def check_units(table: Table, keys: Sequence[Key]) -> None:
    """Raise `LegError` where a value of the table looks like another unit."""
    for key in keys:
        if key.window and key.kind in (Kind.POSITIVE, Kind.SIGNED) and key.name in table.values:
            _check_window(table, key.name, table.values[key.name], key.unit, key.window)
        if key.kind is Kind.CHART:
            _check_chart(table, key)
        _check_doubt(table, key)
    _check_partners(table, "extension_mm", ("lower_mm", "upper_mm"), "mm")
    _check_partners(table, "pressure_kPa", ("pressure_lower_kPa", "pressure_upper_kPa"), "kPa")
    _check_tolerance(table)


def _check_window(table: Table, name: str, value: float, unit: str, window: tuple[float, float]) -> None:
    low, high = window
    if low <= value <= high:
        return
    others = [(other, value * factor) for other, factor in OTHER_UNITS.get(unit, ())]
    readings = [_reading(value, other, size, unit) for other, size in others if low <= size <= high]
    _unlikely(
        table, name, value, unit, readings or [f"{low:g} to {high:g} {unit} was expected"], small=value < low
    )


def _reading(value: float, other: str, size: float, unit: str) -> str:
    return f"{value:g} {other} would be {size:.2f} {unit}"


def _unlikely(
    table: Table, name: str, value: float, unit: str, readings: Sequence[str], *, small: bool
) -> NoReturn:
    so = "small" if small else "large"
    fail(
        table.where,
        f"{name} = {value:g} reads as {value:g} {unit}; {', '.join(readings)}: "
        f"write the value in {unit}, or pass --accept-units if it is really so {so}",
    )


def _check_chart(table: Table, key: Key) -> None:
    for pressure, length in table.values.get(key.name, ()):
        _check_window(table, f"{key.name} pressure", pressure, "kPa", CHART_PRESSURE_WINDOW_KPA)
        if key.window:
            _check_window(table, f"{key.name} length", length, "mm", key.window)


def _check_doubt(table: Table, key: Key) -> None:
    u, value = table.u.get(key.name), table.values.get(key.name)
    if u is None or value is None or key.kind is not Kind.POSITIVE or u <= _LARGEST_U_SHARE * value:
        return
    fail(
        table.where,
        f"{key.u_name} = {u:g} reads as {u:g} {key.unit}, over a quarter of {key.name} = {value:g}; "
        f"{u:g} thousandths would be {u / 1000:g} {key.unit}: write the standard uncertainty in {key.unit}, "
        "or pass --accept-units if it is really so large",
    )


def _check_partners(table: Table, name: str, partners: Sequence[str], unit: str) -> None:
    """Compare values that must be of one size: one may be inches beside the other's mm."""
    value = table.values.get(name)
    for partner in partners:
        other = table.values.get(partner)
        if value is None or other is None or other <= 0:
            continue
        for small_name, small, large_name, large in (
            (partner, other, name, value),
            (name, value, partner, other),
        ):
            readings = [
                f"{_reading(small, word, small * factor, unit)} beside {large_name} = {large:g}"
                for word, factor in OTHER_UNITS[unit]
                if factor > 2 and abs(small * factor / large - 1) <= _LIKE
            ]
            if readings:
                _unlikely(table, small_name, small, unit, readings, small=True)


def _check_tolerance(table: Table) -> None:
    """Find a leg written in inches throughout, and chart offsets in inches."""
    extension = table.values.get("extension_mm")
    chart = "extension_table" in table.values
    if not chart and (extension is None or extension * INCH_MM > 700):
        return
    nominal = 0.0 if chart or extension is None else extension
    beside = "the chart" if chart else f"extension_mm = {nominal:g}"
    for name in ("lower_mm", "upper_mm"):
        limit = table.values.get(name)
        tolerance = 0.0 if limit is None else abs(limit - nominal)
        if not 0 < tolerance < _NARROWEST_TOLERANCE_MM:
            continue
        fail(
            table.where,
            f"{name} = {limit:g} reads as {tolerance:g} mm from {beside}; {tolerance:g} in would be "
            f"{tolerance * INCH_MM:.2f} mm: write both in mm, or pass --accept-units "
            "if the tolerance is really so small",
        )
