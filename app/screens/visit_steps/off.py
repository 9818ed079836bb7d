"""What is missing, by leg and item; and where nothing is, the sign-off."""

import streamlit as st

from app.inspection import Inspection, Role
from app.inspection.rounds.times import Times
from app.screens.here import Here
from app.screens.parts.markup import facts, note, show, text
from app.screens.visit_steps.cases import STATES
from app.screens.visit_steps.shared import back, head, record_file, sign, tried


def step(here: Here, visit: Inspection) -> None:
    """Draw the gaps, then what is signed off."""
    head(here, visit, "Sign-off")
    title = st.empty()  # its words follow from what the times below leave missing
    is_signer = Role.AUTHORISED_SIGNATORY in here.person.roles
    times = _times() if is_signer else None
    gaps = here.inspections.gaps(visit.id, None if times is None else times.landings)
    title.title("What is missing" if gaps else "Nothing is missing", anchor=False)
    if gaps:
        st.write(f"{len(gaps)} things stand before the sign-off.")
        by_leg: dict[str, list[str]] = {}
        for one in gaps:
            by_leg.setdefault(one.where, []).append(one.what)
        for where, words in by_leg.items():
            items = "".join(f"<li>{text(one)}</li>" for one in words)
            show(
                f'<details open class="gw-gaps"><summary>{text(where.capitalize())} ({len(words)})'
                f"</summary><ul>{items}</ul></details>"
            )
    else:
        show(
            '<p class="gw-whole" role="status">Complete: every item answered by two people, '
            "nothing stands before the sign-off.</p>"
        )
    record_file(here, visit)
    if not is_signer:
        note("An authorised signatory signs the visit off.")
    elif times is not None and not gaps:
        _sign(here, visit, times)
    back(here, visit)


def _times() -> Times | None:
    with st.expander("The aircraft's times, from its log", expanded=True):
        hours = st.number_input("Total time in service, h", value=None, min_value=0.1, key="hours")
        cycles = st.number_input("Cycles", value=None, min_value=0, step=1, key="cycles")
        landings = st.number_input("Landings", value=None, min_value=0, step=1, key="landings")
    if hours is None or cycles is None or landings is None:
        note("The sign-off carries total time, cycles and landings: type all three.")
        return None
    return Times(hours, cycles, landings)


def _sign(here: Here, visit: Inspection, times: Times) -> None:
    use = here.inspections
    shown = []
    if not tried(lambda: shown.append(use.whole(visit.id, times))):
        return
    whole = shown[0]
    record = whole.record
    st.header("The work record", anchor=False)
    show(
        facts(
            [
                ("Programme", f"{record['programme']['name']}, {record['programme']['revision']}"),
                ("Version", record["programme"]["version"][:12]),
                ("Items", str(sum(len(leg["items"]) for leg in record["legs"]))),
                ("Signatures", str(len(record["signatures"]))),
                ("Times", f"{times.total_time_h:g} h, {times.cycles} cycles, {times.landings} landings"),
            ]
        )
    )
    for one in use.cases(visit.id):
        note(f"{STATES[one.discrepancy.state]}: {one.discrepancy.text}")
    show(f'<p class="gw-beside">{text(record["not_said"])}</p>')
    sign(
        here, "off", whole.record_hash, "Sign the work record",
        lambda password: use.sign_off(here.person, visit.id, times, password, whole.record_hash),
    )  # fmt: skip
