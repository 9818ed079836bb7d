"""Instruments, cards and charts, with their due dates; what is overdue says so."""

from datetime import UTC, date, datetime

import streamlit as st

from app.inspection import Aircraft
from app.inspection.rounds.model import CardCopy, Instrument
from app.inspection.rounds.quantities import UNITS, base_unit
from app.screens.here import Here
from app.screens.parts.lengths import read_length
from app.screens.parts.markup import show, text
from app.screens.visit_steps.shared import tried


def step(here: Here) -> None:
    """Draw the lists and their forms."""
    use, today = here.inspections, datetime.now(UTC).date()
    st.title("Instruments", anchor=False)
    for tool in use.instruments():
        doubt = f"± {tool.expanded_u:.3g} {base_unit(tool.quantity)}"
        _row(
            f"{tool.kind} {tool.number}", f"{tool.quantity}, {doubt}", _state(tool.due, tool.withdrawn, today)
        )
        _out_of_use(here, tool)
    _instrument(here)
    st.title("Scale cards", anchor=False)
    for card in use.cards():
        bars = " and ".join(f"{one:g} mm" for one in card.bars_mm)
        _row(
            f"{card.name} {card.number}",
            f"check bars {bars} by {card.rule}",
            _state(card.due, card.damage, today),
        )
        _out_of_use(here, card)
    _card(here)
    st.title("Charts", anchor=False)
    for one in use.charts():
        kind = "tension table" if one.aircraft_id else "riser"
        _row(one.name, f"{kind}, {len(one.rows)} rows", one.document)
    _chart(here)


def _state(due: date, out: str, today: date) -> str:
    if out:
        return f"out of use: {out}"
    return f"overdue since {due}" if due < today else f"due {due}"


def _row(name: str, what: str, state: str) -> None:
    show(
        f'<div class="gw-row"><b>{text(name)}</b><span class="gw-state">{text(state)}</span>'
        f"<small>{text(what)}</small></div>"
    )


def _out_of_use(here: Here, one: Instrument | CardCopy) -> None:
    is_card = isinstance(one, CardCopy)
    if one.damage if isinstance(one, CardCopy) else one.withdrawn:
        return
    label = "Damaged" if is_card else "Take out of use"
    with st.expander(f"{label}: {one.number}"), st.form(f"out-{one.id}", border=False):
        why = st.text_input("Why", key=f"out-why-{one.id}")
        act = here.inspections.damage_card if is_card else here.inspections.withdraw_instrument
        if st.form_submit_button(label, width="stretch") and tried(lambda: act(here.person, one.id, why)):
            st.rerun()


def _instrument(here: Here) -> None:
    with st.expander("Enter an instrument, or its new calibration"), st.form("instrument", border=False):
        kind = st.text_input("Instrument", key="tool-kind")
        number = st.text_input("Its number", key="tool-number")
        units = [(quantity, unit) for quantity, known in UNITS.items() for unit in known]
        what = st.selectbox(
            "What it reads, in which unit", units, format_func=lambda it: f"{it[0]}, {it[1]}", index=None,
            key="tool-unit",
        )  # fmt: skip
        doubt = st.number_input("± (95 %) in that unit", value=None, min_value=0.0, format="%g", key="tool-u")
        due = st.date_input("Due", value=None, key="tool-due")
        pressed = st.form_submit_button("Enter", width="stretch")

    def enter() -> None:
        if what is None or doubt is None or due is None:
            msg = "what it reads, its ± and its due date are all needed: give them"
            raise ValueError(msg)
        here.inspections.enter_instrument(here.person, kind, number, *what, doubt, due)

    if pressed and tried(enter):
        st.rerun()


def _card(here: Here) -> None:
    with st.expander("Enter a card, or its bars measured anew"), st.form("card", border=False):
        name = st.text_input("Card", key="card-name", placeholder="strut strip")
        number = st.text_input("Copy number", key="card-number")
        along = st.text_input("Check bar along, as measured", key="card-along", placeholder="200.2 mm")
        across = st.text_input("Check bar across, as measured", key="card-across", placeholder="30.0 mm")
        rule = st.text_input("Rule that measured them, with its number", key="card-rule")
        due = st.date_input("Due", value=None, key="card-due")
        pressed = st.form_submit_button("Enter", width="stretch")

    def enter() -> None:
        if due is None:
            msg = "the day on which it is due is missing: give it"
            raise ValueError(msg)
        bars = [read_length("the check bar", one) for one in (along, across) if one.strip()]
        here.inspections.enter_card(here.person, name, number, bars, rule, due)

    if pressed and tried(enter):
        st.rerun()


def _chart(here: Here) -> None:
    aircraft, tools = here.inspections.aircraft(), here.inspections.instruments()
    owners: list[Aircraft | Instrument] = [
        *aircraft,
        *(one for one in tools if one.quantity == "tension"),
    ]
    with st.expander("Enter a chart"), st.form("chart", border=False):
        whose = st.selectbox(
            "Of which aircraft (its tension table) or tensiometer (a riser)",
            owners,
            index=None,
            key="chart-whose",
            format_func=_owner,
        )
        name = st.text_input("Cable, or riser and cable size", key="chart-name")
        rows = st.text_area(
            "Rows, one a line: temperature °C, lower N, upper N; of a riser: scale, tension N",
            key="chart-rows",
        )
        document = st.text_input("Document and revision", key="chart-document")
        pressed = st.form_submit_button("Enter", width="stretch")

    def enter() -> None:
        if whose is None:
            msg = "whose chart it is is missing: choose the aircraft or the tensiometer"
            raise ValueError(msg)
        lines = [line.replace(",", " ").split() for line in rows.splitlines() if line.strip()]
        table = [[float(cell) for cell in line] for line in lines]
        if isinstance(whose, Instrument):
            here.inspections.enter_riser(here.person, whose.id, name, table, document)
        else:
            here.inspections.enter_tension_limits(here.person, whose.id, name, table, document)

    if pressed and tried(enter):
        st.rerun()


def _owner(one: Aircraft | Instrument) -> str:
    return f"{one.kind} {one.number}" if isinstance(one, Instrument) else one.registration
