"""A visit that follows a programme; where one stands in it is in the address and in the archive.

``?visit=…`` the visit; with ``&step=…`` one of its steps, ``&leg=…`` a leg's round,
``&item=…`` one item of it, ``&case=…`` one discrepancy, ``&answer=…`` one that is corrected.
"""

from collections.abc import Callable

import streamlit as st

from app.inspection import Inspection
from app.screens.here import Here
from app.screens.visit_steps import (
    amending,
    case,
    cases,
    condition,
    correcting,
    handover,
    hub,
    item,
    leg,
    off,
    opened,
    second,
    signing,
)

STEPS: dict[str, Callable[[Here, Inspection], None]] = {
    "condition": condition.step,
    "sign": signing.step,
    "second": second.step,
    "cases": cases.step,
    "open": opened.step,
    "handover": handover.step,
    "off": off.step,
}


def page(here: Here) -> None:
    """Draw the step of the visit that the address names."""
    asked = {
        name: st.query_params.get(name) for name in ("visit", "step", "leg", "item", "look", "case", "answer")
    }
    found = [one for one in here.inspections.inspections() if one.id == asked["visit"]]
    if not found:
        here.head(("Sheet", "Visit"))
        st.title("Which visit?", anchor=False)
        here.link("round", "Choose the aircraft")
        return
    visit = found[0]
    if visit.closed_at is not None and asked["step"] == "correct":
        correcting.step(here, visit, asked["answer"], asked["look"])
    elif visit.closed_at is not None and asked["step"] == "times":
        amending.times_step(here, visit)
    elif visit.closed_at is not None and asked["step"] == "withdraw":
        amending.withdraw_step(here, visit, asked["item"])
    elif visit.closed_at is not None:
        hub.step(here, visit)
    elif asked["look"]:
        second.one(here, visit, asked["look"])
    elif asked["item"]:
        item.step(here, visit, asked["item"])
    elif asked["leg"]:
        leg.step(here, visit, asked["leg"])
    elif asked["case"]:
        case.step(here, visit, asked["case"])
    else:
        STEPS.get(asked["step"] or "", hub.step)(here, visit)
