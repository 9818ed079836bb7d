"""The end of a shift: everything that stands open, signed by who gives and by who takes."""

from typing import Any

import streamlit as st

from app.inspection import Inspection
from app.inspection.rounds.said_once import named, number_of, placed
from app.screens.here import Here
from app.screens.parts.markup import facts, show, text
from app.screens.parts.words import when
from app.screens.visit_steps.shared import back, head, sign


def step(here: Here, visit: Inspection) -> None:
    """Draw the list, and the signature of giver or taker."""
    head(here, visit, "Handover")
    st.title("Hand over the shift", anchor=False)
    use = here.inspections
    shown = use.handover_list(visit.id)
    _list(here, shown.record)
    waiting = use.pending_handover(visit.id)
    if waiting is not None and waiting.taker_id == here.person.id:
        st.write(f"{here.name_of(waiting.giver_id)} hands this over to you. Walk round, compare, then sign.")
        sign(
            here, "take", shown.record_hash, "Take it over",
            lambda password: use.take_over(here.person, waiting.id, password, shown.record_hash),
        )  # fmt: skip
    else:
        if waiting is not None:
            who, at = here.name_of(waiting.taker_id), when(waiting.given_at)
            st.write(f"Given {at}; {who} has not signed yet. If something has changed, give it anew.")
        people = [one for one in here.house.people.everyone() if one.is_worker and one.id != here.person.id]
        taker = st.selectbox("To whom", people, format_func=lambda one: one.name, index=None, key="taker")
        if taker is not None:
            sign(
                here, f"give-{taker.id}", shown.record_hash, f"Hand over to {taker.name}",
                lambda password: use.hand_over(here.person, visit.id, taker.id, password, shown.record_hash),
            )  # fmt: skip
    back(here, visit)


def _list(here: Here, record: dict[str, Any]) -> None:
    condition = record["condition"]
    show(
        facts(
            [("The aircraft is", "not stated" if condition is None else condition["what"].replace("_", " "))]
        )
    )
    rows = [
        f"Opened: {one['kind'].replace('_', ' ')}, {one['place']}, {one['leg']}" for one in record["opened"]
    ]
    rows += [
        f"Out: {one['out'] - one['back']} of {one['out']} {named(one['kind'], one['name'])}"
        for one in record["out"]
    ]
    rows += [
        f"Answered, not signed: {one['item']}, by {here.name_of(one['by'])}" for one in record["unsigned"]
    ]
    rows += [
        f"Discrepancy {one['state']}{' (carried)' if one['carried'] else ''}, "
        f"{placed(one['place'], one['text'])}"
        for one in record["discrepancies"]
        if one["state"] != "cleared"
    ]
    for state, one_item, items in (
        ("to_do", "item to do", "items to do"),
        ("waiting", "item waits for the second person", "items wait for the second person"),
        ("hand_wanted", "item wants a hand measurement", "items want a hand measurement"),
    ):
        rows += [
            f"{leg}: {number_of(count, one_item, items)}"
            for leg, count in record["items"][state].items()
            if count
        ]
    show(
        "<ul>" + "".join(f"<li>{text(one)}</li>" for one in rows) + "</ul>"
        if rows
        else "<p>Nothing stands open.</p>"
    )
