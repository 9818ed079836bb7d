"""Does the leg's data contradict itself?  Then both keys are named; nothing overrides this."""

import re
from itertools import pairwise

from vision.leg.table import Table, fail
from vision.units import parse_length_mm

_PLATE_AGREES_MM = 0.5
_REMEDY = "check both against the document and correct one"


def check_strut(table: Table) -> None:
    """Raise `LegError` naming both keys where values of [strut] contradict each other."""
    _ordered(table, "piston_diameter_mm", "collar_diameter_mm", "the collar is wider than the piston")
    _ordered(table, "piston_diameter_mm", "cylinder_diameter_mm", "the cylinder is wider than the piston")
    _check_chart(table)
    _check_limits(table)
    _check_plate(table)


def check_tire(table: Table) -> None:
    """Raise `LegError` naming both keys where values of [tire] contradict each other."""
    _ordered(table, "flange_diameter_mm", "outside_diameter_mm", "the tire is larger than its rim's flange")
    _ordered(
        table, "loaded_radius_mm", "outside_diameter_mm", "a loaded radius is under half of it", less_by=2
    )
    _ordered(table, "flange_diameter_mm", "loaded_radius_mm", "its flange is off the ground", more_by=2)
    _ordered(table, "pressure_lower_kPa", "pressure_upper_kPa", "the lower limit is below the upper")
    _ordered(table, "pressure_lower_kPa", "pressure_kPa", "the pressure lies within its limits", equal=True)
    _ordered(table, "pressure_kPa", "pressure_upper_kPa", "the pressure lies within its limits", equal=True)


def _ordered(
    table: Table,
    less: str,
    more: str,
    rule: str,
    *,
    less_by: float = 1.0,
    more_by: float = 1.0,
    equal: bool = False,
) -> None:
    low, high = table.number(less), table.number(more)
    if low is None or high is None:
        return
    left, right = low * less_by, high * more_by
    if left < right or (equal and left == right):
        return
    fail(table.where, f"{less} = {low:g} contradicts {more} = {high:g} ({rule}): {_REMEDY}")


def _check_limits(table: Table) -> None:
    if "extension_table" not in table.values:
        for name in ("lower_mm", "upper_mm"):
            limit = table.number(name)
            if limit is not None and limit < 0:
                fail(
                    table.where,
                    f"{name} = {limit:g} is negative: write the limit itself in mm; "
                    "only with extension_table is it an offset",
                )
        _ordered(table, "lower_mm", "extension_mm", "the plate's value lies within its limits", equal=True)
        _ordered(table, "extension_mm", "upper_mm", "the plate's value lies within its limits", equal=True)
    _ordered(table, "lower_mm", "upper_mm", "the lower limit is below the upper")


def _check_chart(table: Table) -> None:
    chart = table.values.get("extension_table")
    if chart is None:
        return
    if "extension_mm" in table.values:
        fail(table.where, "extension_mm contradicts extension_table: keep the one that the plate states")
    lower, upper = table.number("lower_mm"), table.number("upper_mm")
    for name, wrong, sign in (
        ("lower_mm", (lower or 0.0) > 0, "0 or negative"),
        ("upper_mm", (upper or 0.0) < 0, "0 or positive"),
    ):
        if wrong:
            fail(
                table.where,
                f"{name} = {table.number(name):g} contradicts extension_table: "
                f"with a chart it is an offset from the chart's value, {sign}",
            )
    steps = list(pairwise(chart))
    for before, after in steps:
        if after[0] <= before[0]:
            fail(
                table.where,
                f"extension_table: pressure {after[0]:g} follows {before[0]:g}: write rising pressures",
            )
    if any(b[1] > a[1] for a, b in steps) and any(b[1] < a[1] for a, b in steps):
        # One load or one filling: a gas spring's length only falls or only rises.
        fail(table.where, "extension_table: its lengths rise and fall: check each row against the plate")


def _check_plate(table: Table) -> None:
    extension, text = table.number("extension_mm"), table.text("plate_text")
    # What follows the value on a plate is its tolerance or the other unit.
    first = re.split(r"±|\+|\(|=", text, maxsplit=1)[0]
    try:
        plate = parse_length_mm(first)
    except ValueError:
        return
    if extension is not None and abs(plate - extension) > _PLATE_AGREES_MM:
        fail(
            table.where,
            f"plate_text = {text!r} ({plate:.2f} mm) contradicts extension_mm = {extension:g}: {_REMEDY}",
        )
