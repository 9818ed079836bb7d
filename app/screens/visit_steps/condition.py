"""The opening card, and the condition of the aircraft: statements by a person, none ticked beforehand."""

import streamlit as st

from app.inspection import Inspection
from app.programme import Condition, ItemCondition, Programme
from app.screens.here import Here
from app.screens.parts.markup import complaint, note, show, text
from app.screens.visit_steps.shared import back, head, tried

OPENED = "I have read this, looked round, and all of it holds"
"""The statement of the opening card, made by pressing it."""


def step(here: Here, visit: Inspection) -> None:
    """Draw the opening card first, then the conditions."""
    head(here, visit, "Condition")
    programme = here.inspections.programme_of(visit.id)
    assert programme is not None
    if not here.inspections.has_opened(here.person, visit.id):
        _opening(here, visit, programme)
        return
    now = here.inspections.condition(visit.id)
    st.title("How does the aircraft stand?", anchor=False)
    keys = [one.key for one in programme.conditions]
    titles = {one.key: one.title for one in programme.conditions}
    after = 0 if now is None else min(keys.index(ItemCondition(now.what)) + 1, len(keys) - 1)
    chosen = st.radio(
        "State one condition", keys, index=after, format_func=lambda key: titles[key], key="which-condition"
    )
    _one(here, visit, programme, programme.condition(chosen))
    back(here, visit)


def cautions_html(programme: Programme, keys: tuple[str, ...]) -> str:
    """Return cautions as a card."""
    told = "".join(
        f"<h2>{text(one.title)}</h2><ul><li>{text(one.text)}</li></ul>"
        for one in (programme.caution(key) for key in keys)
    )
    return f'<div class="gw-card">{told}</div>'


def _opening(here: Here, visit: Inspection, programme: Programme) -> None:
    st.title("Before anything else", anchor=False)
    show(cautions_html(programme, programme.opening))
    show('<p class="gw-beside">Where something of it does not hold, do not begin.</p>')
    if st.button(OPENED, type="primary", width="stretch", key="state-opening") and tried(
        lambda: here.inspections.state_opening(here.person, visit.id)
    ):
        if here.inspections.condition(visit.id) is None:  # nothing can be answered before it is stated
            st.rerun()
        here.go("visit", visit=visit.id)
    back(here, visit)


def _one(here: Here, visit: Inspection, programme: Programme, condition: Condition) -> None:
    if condition.cautions:
        show(cautions_html(programme, condition.cautions))
    told: dict[str, str] = {}
    missing = []
    with st.form(f"condition-{condition.key}", border=False):
        if any(one.record for one in condition.statements):
            note("State only what holds: a line with a field by what you write, the others by a tick.")
        for one in condition.statements:
            written = ""
            if one.record:  # what is written down is the statement: a tick beside it would say nothing more
                show(f"<p>{text(one.text)}</p>")
                written = st.text_input(one.record.capitalize(), key=f"told-{condition.key}-{one.key}")
                stated = bool(written.strip())
            else:
                stated = st.checkbox(one.text, key=f"said-{condition.key}-{one.key}")
            if stated:
                told[one.key] = written
            else:
                missing.append(one.text)
        pressed = st.form_submit_button("State this condition", type="primary", width="stretch")
    if not pressed:
        return
    if missing:
        complaint(f"not stated yet: {'; '.join(one.rstrip('.') for one in missing)}. State what holds.")
    elif tried(lambda: here.inspections.state_condition(here.person, visit.id, condition.key, told)):
        here.go("visit", visit=visit.id)
