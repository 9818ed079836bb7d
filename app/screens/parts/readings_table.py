"""Readings of one length side by side: who, how, value ± U, and each as an interval on one common line."""

from collections.abc import Sequence
from dataclasses import dataclass

from app.screens.parts.markup import text
from app.screens.parts.numbers import in_inch, in_mm


@dataclass(frozen=True)
class Row:
    """One reading: how it was taken, by whom, value and U in mm."""

    how: str
    who: str
    value_mm: float
    expanded_u_mm: float


def readings_table(rows: Sequence[Row]) -> str:
    """Return the markup of the readings, each with its interval drawn to one scale."""
    if not rows:
        return ""
    low = min(row.value_mm - row.expanded_u_mm for row in rows)
    high = max(row.value_mm + row.expanded_u_mm for row in rows)
    return f'<ul class="gw-readings">{"".join(_row(row, low, high - low) for row in rows)}</ul>'


def _row(row: Row, low: float, width: float) -> str:
    start = 100 * (row.value_mm - row.expanded_u_mm - low) / width
    length = 100 * 2 * row.expanded_u_mm / width
    middle = 100 * (row.value_mm - low) / width
    return (
        f"<li><div><b>{text(row.how)}</b><small>{text(row.who)}</small></div>"
        f"<div><b>{text(in_mm(row.value_mm, row.expanded_u_mm))}</b>"
        f"<small>{text(in_inch(row.value_mm, row.expanded_u_mm))}</small></div>"
        f'<div class="gw-interval" aria-hidden="true"><i style="left:{start:.2f}%;width:{length:.2f}%"></i>'
        f'<b style="left:{middle:.2f}%"></b></div></li>'
    )
