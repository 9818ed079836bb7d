"""One item of one leg over time: every try with its U, the limits, a drift, and what load and warmth explain.

``/trend?leg=…&what=strut_extension``
"""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from app.inspection.history import History, PastReading
from app.measuring.software import KEY
from app.screens.drawings.chart import NARROW, WIDE, chart
from app.screens.here import Here
from app.screens.palette import palette_of
from app.screens.parts.markup import note, show
from app.screens.parts.numbers import in_mm, one_length
from app.screens.parts.readings_table import Row, readings_table
from app.screens.parts.visits import leg_of
from app.screens.parts.words import item_words, when
from app.screens.trend_steps.explained import explained
from app.screens.trend_steps.picture import both_sizes
from app.trends import Drift, Point, Refused, Source, drift

SAME_VIEW = "Compare photos of two visits"


def page(here: Here) -> None:
    """Draw the trend of the item that the address names."""
    leg_id, key = st.query_params.get("leg", ""), st.query_params.get("what", "strut_extension")
    craft, leg = leg_of(here.inspections, leg_id)
    here.head(("Aircraft", craft.registration), ("Leg", leg.position))
    st.title(f"{item_words(key)} over time", anchor=False)
    past = History(here.house.archive.records).of_leg(here.person, leg_id, key)
    points = points_of(past)
    here.links(
        ("compare", SAME_VIEW, {"leg": leg_id, "what": key}),
        ("find", "All that is settled", {"aircraft": craft.registration, "leg": leg.position}),
    )
    if not points:
        st.write("There are no readings of this item yet that you may see.")
        return
    found = drift(points)
    shown = found if isinstance(found, Drift) else None
    colours = palette_of(st.context.theme.type)
    wide, narrow = (chart(colours, points, shown, size) for size in (WIDE, NARROW))
    show(both_sizes(wide, narrow, _alternative(points)))
    note(
        "Filled: it stands. Open: it was set aside, or nobody has confirmed it. Square: by hand. "
        "Bars are U with 95 %; broken lines are the limits of that day."
    )
    _drift(points, found)
    _table(points)
    explained(leg_id)


def points_of(past: Sequence[PastReading]) -> tuple[Point, ...]:
    """Return the readings that have a value as points of a trend."""
    return tuple(_point(one) for one in past if one.value is not None and one.expanded_u is not None)


def _point(one: PastReading) -> Point:
    assert one.value is not None and one.expanded_u is not None
    result: dict[str, Any] = one.result or {}
    limits = result.get("limits") or {}
    return Point(
        one.at,
        one.value,
        one.expanded_u,
        Source.HAND if one.result is None else Source.PHOTO,
        one.stands,
        result.get("verdict") or "",
        limits.get("lower"),
        limits.get("upper"),
        one.id,
        (result.get("evidence") or {}).get(KEY, ""),
        (one.options or {}).get("pressure_kpa"),
    )


def _alternative(points: Sequence[Point]) -> str:
    first, last = points[0], points[-1]
    return (
        f"{len(points)} readings from {first.at.date()} to {last.at.date()}, the first "
        f"{in_mm(first.value, first.expanded_u)}, the last {in_mm(last.value, last.expanded_u)}; all stand "
        "in the table below."
    )


def _drift(points: Sequence[Point], found: Drift | Refused) -> None:
    st.header("Does it drift?", anchor=False)
    if isinstance(found, Refused):
        st.write(f"Not told. {found.words}")
        return
    low, high = (30 * one for one in found.slope_interval)
    between = f"between {low:+.2f} and {high:+.2f} mm in 30 days, with 95 %".replace("-", "−")
    if found.is_shown:
        st.write(f"{found.n} readings over {found.span_days:.0f} days show a drift: {between}.")
    else:
        st.write(f"{found.n} readings over {found.span_days:.0f} days show no drift: it lies {between}.")
    held = points[-1]
    for one in found.reach(held.lower, held.upper):
        side = f"the {one.side} limit of {one_length(one.limit)}"
        if one.earliest is None:
            st.write(f"A further reading is not expected beyond {side} before {found.last.date()}.")
        else:
            st.write(f"A further reading may lie beyond {side} from {one.earliest.date()} on.")
    note(
        "A straight line by weighted least squares through the readings that stand, and where a further "
        "reading lies with 95 %. Nothing is told farther ahead than was looked back. It judges nothing: the "
        "limits do."
    )


def _table(points: Sequence[Point]) -> None:
    st.header("The readings", anchor=False)
    rows = [Row(when(one.at), _told(one), one.value, one.expanded_u) for one in reversed(points)]
    show(readings_table(rows))


def _told(one: Point) -> str:
    how = "by hand" if one.source is Source.HAND else "photo"
    stands = "stands" if one.stands else "does not stand"
    software = f"software {one.version}" if one.version else ""
    return ", ".join(filter(None, (how, stands, one.verdict, software)))
