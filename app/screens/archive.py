"""The archive: what is settled, newest first, found by aircraft, leg and time; one item's whole story.

``/archive`` the list, its filters in the address; ``/archive?item=…`` everything on one item.
"""

from collections.abc import Mapping
from datetime import UTC, date, datetime, time
from typing import Any

import streamlit as st

from app.inspection import ArchiveFilter, ArchiveRow
from app.inspection.history import History
from app.record.search_words import is_searched, short
from app.record.tire_words import results_of, value
from app.screens import story
from app.screens.here import Here
from app.screens.parts.contract import result_of
from app.screens.parts.markup import complaint, show, text
from app.screens.parts.numbers import both_units
from app.screens.parts.reading import BESIDE_WITHIN_SHORT, STANDS_BESIDE
from app.screens.parts.tire_results import answer_mark
from app.screens.parts.verdict import mark_html, mark_of
from app.screens.parts.withdrawn import struck
from app.screens.parts.words import when
from app.screens.whole import whole_archive
from vision.results import Reading, Verdict


def page(here: Here) -> None:
    """Draw the list, or the item that the address names."""
    item = st.query_params.get("item")
    if item is not None:
        story.step(here, item)
        return
    here.head(("Sheet", "Archive"))
    st.title("Archive", anchor=False)
    rows = here.inspections.archive(_wanted(here))
    if not rows:
        st.write("Nothing settled that this asks for.")
    withdrawn = History(here.house.archive.records).withdrawn()
    for row in rows:
        _row(here, row, withdrawn.get(row.place.item.id))
    whole_archive(here)


def _wanted(here: Here) -> ArchiveFilter:
    """Draw the filters, which stand in the address, and return what they ask for."""
    aircraft = here.inspections.aircraft()
    positions = sorted({leg.position for one in aircraft for leg in here.inspections.legs(one.id)})
    first, second, third = st.columns(3)
    with first:
        registration = st.selectbox(
            "Aircraft",
            [one.registration for one in aircraft],
            index=None,
            placeholder="All",
            key="aircraft",
            bind="query-params",
        )
    with second:
        position = st.selectbox(
            "Leg", positions, index=None, placeholder="All", key="leg", bind="query-params"
        )
    with third:
        since = st.text_input("Since", placeholder="2026-03-01", key="since", bind="query-params")
    return ArchiveFilter(registration, position, _midnight(since))


def _midnight(typed: str) -> datetime | None:
    if not typed.strip():
        return None
    try:
        return datetime.combine(date.fromisoformat(typed.strip()), time(), UTC)
    except ValueError:
        complaint(f"{typed.strip()} is no date: write year, month and day, e.g. 2026-03-01")
        return None


def _row(here: Here, row: ArchiveRow, withdrawn: str | None) -> None:
    words, action = st.columns([4, 1], vertical_alignment="center")
    with words:
        show(
            f'<div class="gw-row"><b>{text(row.place.leg.position.capitalize())} · '
            f"{text(row.place.aircraft.registration)}</b>{_value(row, withdrawn)}"
            f"<small>{text(_people(here, row))}</small></div>"
        )
    with action:
        here.link("archive", "The whole story", key=f"open-{row.settled_at}", item=row.place.item.id)


def _value(row: ArchiveRow, withdrawn: str | None) -> str:
    if row.try_ is None or row.try_.result is None:
        hands = "; ".join(both_units(one.value_mm, one.expanded_u_mm) for one in row.hands)
        by_hand = f"By hand: {hands}"
        return f"<span>{text(by_hand)}</span>" if withdrawn is None else struck(by_hand, withdrawn)
    if withdrawn is not None:
        return struck(_read(row.try_.result), withdrawn)
    if is_searched(row.try_.result):
        return f"<span>{text(short(row.try_.result).capitalize())}</span>"
    if results_of(row.try_.result):
        return _tire(row.try_.result)
    result = result_of(row.try_.result)
    mark = mark_html(mark_of(result), size="small")
    if not isinstance(result, Reading):
        return mark
    beside = f"<small>{text(BESIDE_WITHIN_SHORT)}</small>" if result.verdict is Verdict.WITHIN else ""
    return f"<span>{text(both_units(result.value, result.expanded_uncertainty))}</span>{mark}{beside}"


def _read(result: Mapping[str, Any]) -> str:
    """The value that a photo's result tells first, in words; nothing where it refuses."""
    if is_searched(result):
        return short(result)
    if result["status"] != "reading":
        return ""
    if results_of(result):
        return value(result)
    read = result_of(result)
    return both_units(read.value, read.expanded_uncertainty) if isinstance(read, Reading) else ""


def _tire(result: Mapping[str, Any]) -> str:
    beside = f"<small>{text(STANDS_BESIDE)}</small>" if result["verdict"] == Verdict.WITHIN else ""
    return f"<span>{text(_read(result))}</span>{mark_html(answer_mark(result), size='small')}{beside}"


def _people(here: Here, row: ArchiveRow) -> str:
    names = []
    if row.try_ is not None:
        names.append(f"photographed by {here.name_of(row.try_.performer_id)}")
    if row.confirmation is not None:
        names.append(f"confirmed by {here.name_of(row.confirmation.confirmer_id)}")
    names += [f"measured by hand by {here.name_of(one.person_id)}" for one in row.hands]
    return f"{when(row.settled_at)} · {', '.join(names)}"
