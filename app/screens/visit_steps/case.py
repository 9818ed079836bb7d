"""One discrepancy: its steps, its photos, what is done about it, or until when it is carried on."""

import streamlit as st

from app.inspection import STRUT_EXTENSION, DiscrepancyState, Inspection, Role
from app.inspection.rounds.cases import Case
from app.inspection.rounds.model import ActionKind, SequenceKind
from app.inspection.rounds.proposing import FITTED, REMOVED
from app.inspection.rounds.sequences import is_through
from app.record.pdf_words import ACTIONS
from app.screens.here import Here
from app.screens.parts.markup import facts, note, show
from app.screens.parts.words import when
from app.screens.visit_steps.cases import case_html
from app.screens.visit_steps.evidence import photos
from app.screens.visit_steps.shared import back, head, tried
from app.screens.visit_steps.stepping import steps

KINDS = {kind: ACTIONS[kind.value] for kind in ActionKind}


def step(here: Here, visit: Inspection, discrepancy_id: str) -> None:
    """Draw a discrepancy."""
    one = here.inspections.case(visit.id, discrepancy_id)
    head(here, visit, "Discrepancy", one.place.leg.position)
    st.title("Discrepancy", anchor=False)
    show(case_html(here, one))
    for action in one.actions:
        parts = [
            f"off: {part['part']} {part['serial']} ({part['reason']}, tag {part['tag']})"
            for part in action.removed
        ]
        parts += [f"on: {part['part']} {part['serial']} ({part['release']})" for part in action.fitted]
        told = f"{KINDS[action.kind]}: {action.text}"
        show(
            facts(
                [
                    ("Done", told),
                    ("By", f"{here.name_of(action.person_id)}, {when(action.at)}"),
                    ("Data", action.data_reference or "none"),
                    *([("Parts", "; ".join(parts))] if parts else []),
                ]
            )
        )
    photos(here, one.place.item.id, one.discrepancy.place)
    if one.sequence is not None:
        steps(here, visit, one)
    state = one.discrepancy.state
    if state is DiscrepancyState.ACTED:
        show('<p class="gw-beside">Its re-inspection is an item of this round, done by two people.</p>')
        if st.button("To its re-inspection", key="again", type="primary", width="stretch"):
            again = here.inspections.place_of(one.actions[-1].reinspection_id).item
            if again.key == STRUT_EXTENSION:
                here.go("round", leg=again.leg_id)
            here.go("visit", visit=visit.id, item=again.id)
    elif state in (DiscrepancyState.OPEN, DiscrepancyState.DEFERRED):
        if one.sequence is None or is_through(one.sequence.kind, one.steps):
            _act(here, visit, one)
        is_crack = one.sequence is not None and one.sequence.kind is SequenceKind.CRACK
        if is_crack:
            note("What may be a crack cannot be deferred.")
        elif state is DiscrepancyState.OPEN:
            _defer(here, visit, one)
    here.link("visit", "Back to the discrepancies", visit=visit.id, step="cases")
    back(here, visit)


def _act(here: Here, visit: Inspection, one: Case) -> None:
    use, id_ = here.inspections, one.discrepancy.id
    key = f"{id_}-{one.discrepancy.state}"
    removed: dict[str, str] = {}
    fitted: dict[str, str] = {}
    st.header("What was done about it", anchor=False)
    kind = st.selectbox(
        "Action", list(KINDS), format_func=lambda it: KINDS[it], index=None, key=f"kind-{key}"
    )
    with st.form(f"act-{key}-{kind}", border=False):
        words = st.text_area("What was done", key=f"done-{key}", height=80)
        data = st.text_input("Approved data by which it was done", key=f"data-{key}")
        if kind is ActionKind.REPLACED:
            off, on = st.columns(2)
            with off:
                removed = {
                    name: st.text_input(f"Removed: {name}", key=f"off-{name}-{key}") for name in REMOVED
                }
            with on:
                fitted = {name: st.text_input(f"Fitted: {name}", key=f"on-{name}-{key}") for name in FITTED}
        password = st.text_input(
            f"Password of {here.person.name}: it signs this action",
            type="password", key=f"act-password-{key}", autocomplete="off",
        )  # fmt: skip
        pressed = st.form_submit_button("Sign this action", type="primary", width="stretch")
    if not pressed:
        return

    def act() -> None:
        if kind is None:
            msg = "what kind of action it was is missing: choose one"
            raise ValueError(msg)
        papers = {
            "removed": [removed] if any(removed.values()) else [],
            "fitted": [fitted] if any(fitted.values()) else [],
        }
        seen = use.propose_action(here.person, visit.id, id_, kind, words, data, **papers)
        use.act(here.person, visit.id, id_, kind, words, data, password, seen.record_hash, **papers)

    if tried(act):
        st.rerun()


def _defer(here: Here, visit: Inspection, one: Case) -> None:
    if Role.AUTHORISED_SIGNATORY not in here.person.roles:
        note("A deferral is signed by an authorised signatory.")
        return
    use, id_ = here.inspections, one.discrepancy.id
    for title in use.opened_by_deferral(visit.id, id_):
        note(f"{title} will be open again: two people judge what its photos raised before the sign-off.")
    with st.expander("Defer it"), st.form(f"defer-{id_}", border=False):
        reference = st.text_input("Reference that allows it", key=f"reference-{id_}")
        category = st.text_input("Category", key=f"category-{id_}")
        day = st.date_input("Until the day", value=None, key=f"day-{id_}")
        landings = st.number_input(
            "Or until landings", value=None, min_value=1, step=1, key=f"landings-{id_}"
        )
        placard = st.text_input("Placard", key=f"placard-{id_}", placeholder="none asked for")
        password = st.text_input(
            f"Password of {here.person.name}: it signs this deferral",
            type="password", key=f"defer-password-{id_}", autocomplete="off",
        )  # fmt: skip
        pressed = st.form_submit_button("Sign this deferral", type="primary", width="stretch")
    if not pressed:
        return

    def defer() -> None:
        told = (id_, reference, category, day, landings, placard)
        seen = use.propose_deferral(here.person, visit.id, *told)
        use.defer(here.person, visit.id, *told, password, seen.record_hash)

    if tried(defer):
        st.rerun()
