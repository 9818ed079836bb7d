"""The forms of an answer: by eye in one tap, by gauge, by count, by the place of every broken wire."""

import re
from collections.abc import Callable

import streamlit as st

from app.inspection import LegEntry
from app.inspection.rounds.given import Break, ByEye, Counted, Gauge, Given, Wires
from app.inspection.rounds.judging import quantity_of
from app.inspection.rounds.model import Finding
from app.inspection.rounds.quantities import UNITS
from app.inspection.rounds.tire_gauge import is_of_tire
from app.inspection.rounds.walking import Stop
from app.programme import LimitKind, Method
from app.screens.here import Here
from app.screens.parts.markup import complaint, note, show, text
from app.screens.visit_steps.tire_gauge import how_read
from vision.leg import read_leg

Enter = Callable[[Given, str], None]
PRESET = "Set as last time. Look at the number and the unit on the gauge in your hand, or choose another."
_BREAK = re.compile(r"(\d+(?:\.\d+)?)\s*(c?)", re.IGNORECASE)


def answer_form(here: Here, stop: Stop, leg: LegEntry, enter: Enter, *, with_reading: bool = True) -> None:
    """Draw the form that an item's method asks for; `enter` is given the answer and a fault's place.

    Without a reading, or before "nothing wrong" may be said, only what can be said of any item is drawn.
    """
    wanted = stop.wanted
    document = read_leg(leg.toml, leg.position).document if wanted.limit is LimitKind.DOCUMENT else ""
    try:
        if wanted.broken_wires:
            _wires(stop, document, enter)
        elif wanted.method is Method.COUNT:
            _count(stop, document, enter)
        elif wanted.method in (Method.GAUGE_READING, Method.PHOTO_MEASUREMENT):
            if with_reading:
                _gauge(here, stop, document, enter)
        elif with_reading:
            _eye(stop, document, enter)
        _wrong(stop, enter)
    except ValueError as unreadable:
        complaint(str(unreadable))


def _eye(stop: Stop, document: str, enter: Enter) -> None:
    key = stop.item.id
    told = ""
    if stop.wanted.limit is LimitKind.DOCUMENT:
        told = st.text_input("Document and revision", value=document, key=f"document-{key}")
    if stop.wanted.sequence == "servicing":
        told_level = st.text_input("How the level was found, where nothing was filled in", key=f"level-{key}")
        if st.button("Level right", key=f"good-{key}", type="primary", width="stretch"):
            enter(ByEye(Finding.GOOD, told_level), "")
    elif st.button("Nothing wrong", key=f"good-{key}", type="primary", width="stretch"):
        enter(ByEye(Finding.GOOD, document=told), "")


def _wrong(stop: Stop, enter: Enter) -> None:
    """What can be said of any item: something is wrong, or it is not fitted."""
    key = stop.item.id
    with st.expander("Something is wrong"), st.form(f"wrong-{key}", border=False):
        words = st.text_area("What is wrong", key=f"wrong-text-{key}", height=80)
        place = st.text_input("Where exactly", key=f"wrong-place-{key}")
        if st.form_submit_button("Open a discrepancy", type="primary", width="stretch"):
            enter(ByEye(Finding.FAULT, words), place)
    with st.expander("Not fitted on this leg"), st.form(f"absent-{key}", border=False):
        why = st.text_input("How that was seen", key=f"absent-text-{key}")
        if st.form_submit_button("Not fitted", width="stretch"):
            enter(ByEye(Finding.NOT_FITTED, why), "")


def _gauge(here: Here, stop: Stop, document: str, enter: Enter) -> None:
    key, quantity = stop.item.id, quantity_of(stop.wanted)
    tools = [one for one in here.inspections.instruments() if one.quantity == quantity and not one.withdrawn]
    is_leg = stop.wanted.limit is LimitKind.LEG_DATA
    last = here.inspections.read_with(here.person, quantity)
    units, ids = list(UNITS[quantity]), [one.id for one in tools]
    unit_at = 0 if len(units) == 1 else _place(units, last.unit)
    with st.form(f"gauge-{key}", border=False):
        if last.unit:
            show(f'<p class="gw-beside">{text(PRESET)}</p>')
        tool = st.selectbox(
            f"Instrument ({stop.wanted.instrument or quantity})",
            tools,
            format_func=lambda one: f"{one.kind} {one.number}, due {one.due}",
            index=_place(ids, last.instrument_id),
            key=f"tool-{key}",
        )
        values = st.text_input(
            "Readings, each with a space between", key=f"values-{key}", placeholder="50.5 50.0"
        )
        unit = st.radio("Unit", units, index=unit_at, horizontal=True, key=f"unit-{key}")
        charts = [*here.inspections.charts()] if quantity == "tension" else []
        riser = limits = temperature = None
        lower = upper = told = state = ""
        if is_of_tire(stop.wanted):
            state, temperature = how_read(stop)
        if quantity == "tension":
            risers = [one for one in charts if one.instrument_id]
            tables = [one for one in charts if one.aircraft_id]
            riser = st.selectbox(
                "Riser's chart", risers, format_func=lambda one: one.name, index=None, key=f"riser-{key}"
            )
            limits = st.selectbox(
                "Aircraft's table", tables, format_func=lambda one: one.name, index=None, key=f"table-{key}"
            )
            temperature = st.number_input("Temperature, °C", value=None, key=f"temperature-{key}")
        else:
            if is_leg:
                note("The limit is in the leg's data; type one only where it is not.")
            low, high = st.columns(2)
            with low:
                lower = st.text_input("At least", key=f"lower-{key}")
            with high:
                upper = st.text_input("At most", key=f"upper-{key}")
            told = st.text_input("Limit's document and revision", value=document, key=f"document-{key}")
        words = st.text_input("Remark", key=f"remark-{key}")
        pressed = st.form_submit_button("Enter this reading", type="primary", width="stretch")
    if pressed:
        if unit is None:
            msg = "the unit is missing: choose the one that the gauge shows"
            raise ValueError(msg)
        given = Gauge(
            _numbers(values), unit, "" if tool is None else tool.id, _number(lower), _number(upper), told,
            "" if riser is None else riser.id, "" if limits is None else limits.id, temperature, words,
            state,
        )  # fmt: skip
        enter(given, "")


def _place(choices: list[str], last: str) -> int | None:
    """Return where the last choice stands in a list; None where it is not there."""
    return choices.index(last) if last in choices else None


def _count(stop: Stop, document: str, enter: Enter) -> None:
    key = stop.item.id
    note(stop.wanted.counted.capitalize() + ".")
    with st.form(f"count-{key}", border=False):
        number = st.number_input("Counted", value=None, min_value=0, step=1, key=f"number-{key}")
        low, high = st.columns(2)
        with low:
            least = st.number_input("At least", value=None, min_value=0, step=1, key=f"least-{key}")
        with high:
            most = st.number_input("At most", value=None, min_value=0, step=1, key=f"most-{key}")
        told = st.text_input("Number's document and revision", value=document, key=f"document-{key}")
        words = st.text_input("Remark", key=f"remark-{key}")
        pressed = st.form_submit_button("Enter this count", type="primary", width="stretch")
    if pressed:
        if number is None:
            msg = "the number is missing: type what was counted"
            raise ValueError(msg)
        enter(Counted(number, least, most, told, words), "")


def _wires(stop: Stop, document: str, enter: Enter) -> None:
    key = stop.item.id
    with st.form(f"wires-{key}", border=False):
        places = st.text_input(
            "Places of broken wires, mm along the cable; c behind one that lies in a critical area",
            key=f"places-{key}",
            placeholder="none, or 100 105c 300",
        )
        strand = st.checkbox("A whole strand is broken", key=f"strand-{key}")
        low, high = st.columns(2)
        with low:
            inch = st.number_input("Allowed in one inch", value=None, min_value=0, step=1, key=f"inch-{key}")
        with high:
            critical = st.number_input(
                "Allowed in a critical area", value=None, min_value=0, step=1, key=f"critical-{key}"
            )
        told = st.text_input("Limit's document and revision", value=document, key=f"document-{key}")
        pressed = st.form_submit_button("Enter these wires", type="primary", width="stretch")
    if pressed:
        if inch is None or critical is None:
            msg = "what the document allows is missing: type both numbers, 0 where none is allowed"
            raise ValueError(msg)
        enter(Wires(breaks(places), strand, inch, critical, told), "")


def breaks(typed: str) -> tuple[Break, ...]:
    """Return the places of broken wires that a text names, e.g. ``"100 105c 300"``; "none" names none.

    Raises
    ------
    ValueError
        It names nothing, or something that is no place.
    """
    parts = typed.replace(",", " ").split()
    if [one.lower() for one in parts] == ["none"]:
        return ()
    found = [_BREAK.fullmatch(one) for one in parts]
    if not found or None in found:
        msg = f'{typed!r} names no places of broken wires: write "none", or each in mm, e.g. "100 105c 300"'
        raise ValueError(msg)
    return tuple(Break(float(one[1]), bool(one[2])) for one in found if one is not None)


def _numbers(typed: str) -> tuple[float, ...]:
    return tuple(value for value in map(_number, typed.split()) if value is not None)


def _number(typed: str) -> float | None:
    if not typed.strip():
        return None
    try:
        return float(typed)
    except ValueError:
        msg = f'{typed!r} is no number: write it with a point, e.g. "50.5"'
        raise ValueError(msg) from None
