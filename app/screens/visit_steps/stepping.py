"""Steps whose order matters: what was done, and the form of the next one."""

import streamlit as st

from app.inspection import DiscrepancyState, Inspection
from app.inspection.rounds.cases import Case
from app.inspection.rounds.model import Sequence, SequenceKind, Step
from app.inspection.rounds.sequences import STEPS, StepRule, choices_of, next_step, still_leaks
from app.screens.here import Here
from app.screens.parts.markup import note, show, text
from app.screens.parts.words import when
from app.screens.visit_steps.shared import tried

_TITLES = {
    SequenceKind.LEAK: "The leak, step by step",
    SequenceKind.CRACK: "What may be a crack, step by step",
    SequenceKind.SERVICING: "Servicing, step by step",
}


def steps(here: Here, visit: Inspection, one: Case) -> None:
    """Draw the steps of a leak or a crack."""
    assert one.sequence is not None
    _done_and_next(here, visit, one.sequence, one.steps, one.place.item.id)
    if one.discrepancy.state is DiscrepancyState.OPEN and still_leaks(one.steps):
        show('<p class="gw-beside">It still leaks: find the cause, and begin the steps anew.</p>')
        if st.button("Begin the steps anew", key="steps-anew", width="stretch") and tried(
            lambda: here.inspections.begin_again(here.person, visit.id, one.discrepancy.id)
        ):
            st.rerun()


def servicing(here: Here, visit: Inspection, item_id: str) -> None:
    """Draw the servicing of an item, or the way to begin it."""
    use = here.inspections
    found = use.servicing_of(item_id)
    if found is None:
        if st.button("Fluid was filled in: enter it step by step", key="service", width="stretch") and tried(
            lambda: use.begin_servicing(here.person, item_id)
        ):
            st.rerun()
        return
    sequence, done = use.steps(found.id)
    _done_and_next(here, visit, sequence, done, item_id)


def _done_and_next(
    here: Here, visit: Inspection, sequence: Sequence, done: tuple[Step, ...], item_id: str
) -> None:
    st.header(_TITLES[sequence.kind], anchor=False)
    rules = {one.key: one for one in STEPS[sequence.kind]}
    rows = [
        f"<li><b>{text(rules[one.key].words)}</b> {text(_told(rules[one.key], one))} "
        f"<small>{text(here.name_of(one.person_id))}, {text(when(one.at))}</small></li>"
        for one in done
    ]
    show(f'<ol class="gw-short">{"".join(rows)}</ol>')
    following = next_step(sequence.kind, done)
    if following is None:
        return
    evidence = ""
    if following.photo:
        taken = [one for one in here.inspections.evidence_of(item_id) if one.photo is not None]
        if not taken:
            note(f"Next: {following.words}. Add the photo with its place first.")
            return
        evidence = taken[-1].id
    with st.form(f"step-{sequence.id}-{following.key}", border=False):
        show(f'<p class="gw-beside">Next: {text(following.words)}</p>')
        told = {}
        for name in following.tells:
            label, choices = name.replace("_", " ").capitalize(), choices_of(name)
            key = f"step-{sequence.id}-{following.key}-{name}"
            if choices:
                told[name] = st.selectbox(label, choices, index=None, key=key) or ""
            else:
                told[name] = st.text_input(label, key=key)
        password = ""
        if sequence.kind is SequenceKind.CRACK and following.key == "result":
            password = st.text_input(
                f"Password of {here.person.name}: it signs the result",
                type="password", key=f"step-password-{sequence.id}", autocomplete="off",
            )  # fmt: skip
        pressed = st.form_submit_button("This is done", type="primary", width="stretch")
    if pressed and tried(
        lambda: here.inspections.step(
            here.person, visit.id, sequence.id, following.key, told, evidence, password
        )
    ):
        st.rerun()


def _told(rule: StepRule, one: Step) -> str:
    """What was told of a step, in the order in which it was asked for."""
    return " · ".join(f"{name.replace('_', ' ')} {one.told[name]}" for name in rule.tells if name in one.told)
