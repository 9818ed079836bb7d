"""All readings of one try side by side, whether they agree, what follows, and the signature on it."""

import streamlit as st

from app.inspection import Basis, Comparison, Try
from app.screens.confirm_steps.signature import sign, signed
from app.screens.here import Here
from app.screens.parts.agreement import agreement_html
from app.screens.parts.contract import result_of
from app.screens.parts.markup import show, text
from app.screens.parts.numbers import both_units, in_mm
from app.screens.parts.pictures import annotated_html
from app.screens.parts.reading import doubt_html, refusal_html, verdict_html
from app.screens.parts.readings_table import Row, readings_table
from app.screens.parts.verdict import MARKS, NO_VALUE
from app.screens.parts.words import TRY_STATES, when
from vision.results import Reading, Result


def step(here: Here, all_: Comparison) -> None:
    """Draw the comparison; the signature below it only where there is something left to sign."""
    st.title("All readings side by side", anchor=False)
    result = result_of(all_.try_.result) if all_.try_.result else None
    supporting = all_.place.leg.basis is Basis.SUPPORTING
    # On a phone one below the other; style.css puts the picture beside both on a wide screen.
    with st.container(key="gw-answer"):
        with st.container():
            show(readings_table(_rows(here, all_, result if isinstance(result, Reading) else None)))
            if isinstance(result, Reading):
                show(f'<div class="gw-reading">{verdict_html(result, supporting=supporting)}</div>')
            elif result is not None:
                show(refusal_html(result))
            show(agreement_html(all_))
        with st.container():
            _picture(all_, result)
        with st.container():
            _earlier(here, all_)
            _signature(here, all_)
            if isinstance(result, Reading):
                show(doubt_html(result))


def _picture(all_: Comparison, result: Result | None) -> None:
    if all_.try_.annotated is not None:
        words = "Annotated copy of the photo"
        if isinstance(result, Reading):
            words += f": {in_mm(result.value, result.expanded_uncertainty)}"
        show(annotated_html(all_.try_.annotated, words))


def _signature(here: Here, all_: Comparison) -> None:
    if all_.confirmation is not None:
        signed(here, all_)
    elif all_.performer.id == here.person.id:
        st.write("This is your own work: another person signs it.")
    else:
        sign(here, all_)


def _rows(here: Here, all_: Comparison, reading: Reading | None) -> list[Row]:
    rows = []
    if reading is not None:
        rows.append(
            Row("The photo, by the program", all_.performer.name, reading.value, reading.expanded_uncertainty)
        )
    if all_.blind is not None:
        rows.append(
            Row(
                "The photo, by placed ends",
                here.name_of(all_.blind.person_id),
                all_.blind.value_mm,
                all_.blind.expanded_u_mm,
            )
        )
    rows.extend(
        Row(f"By hand: {one.instrument}", here.name_of(one.person_id), one.value_mm, one.expanded_u_mm)
        for one in all_.hands
    )
    return rows


def _earlier(here: Here, all_: Comparison) -> None:
    if not all_.earlier:
        return
    lines = [
        f"{when(one.begun_at)}, {here.name_of(one.performer_id)}: {_in_short(one)}" for one in all_.earlier
    ]
    with st.expander(f"Other tries at this item ({len(lines)})", expanded=True):
        show("<ul>" + "".join(f"<li>{text(line)}</li>" for line in lines) + "</ul>")


def _in_short(one: Try) -> str:
    """Return what another try gave, as one line."""
    if one.result is None:
        return TRY_STATES[one.state]
    result = result_of(one.result)
    if not isinstance(result, Reading):
        return f"{NO_VALUE.word}. {result.reason}"
    return f"{both_units(result.value, result.expanded_uncertainty)}, {MARKS[result.verdict].word.lower()}"
