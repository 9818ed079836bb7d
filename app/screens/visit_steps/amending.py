"""A visit that is signed off: its times put right, and a photo's or a hand's reading withdrawn."""

import streamlit as st

from app.inspection import Inspection, Role
from app.inspection.rounds.model import CorrectedTimes
from app.inspection.rounds.proposing import Proposed
from app.inspection.rounds.times import Times
from app.screens.here import Here
from app.screens.parts.markup import note, show, text
from app.screens.parts.words import when
from app.screens.visit_steps.shared import back, head, sign, tried


def listed(here: Here, visit: Inspection) -> None:
    """Draw the times, each earlier set struck through, and the ways on."""
    signed, corrected = here.inspections.times_of(visit.id)
    st.header("The aircraft's times", anchor=False)
    sets = [signed, *(_times(one) for one in corrected)]
    struck = "".join(f"<s>{text(times_words(one))}</s><br>" for one in sets[:-1])
    why = "".join(f"<br>{text(_why(here, one))}" for one in corrected)
    show(f'<p class="gw-said">{struck}<b>{text(times_words(sets[-1]))}</b>{why}</p>')
    signs = Role.AUTHORISED_SIGNATORY in here.person.roles
    if signs and st.button("Put the times right", key="to-times", width="stretch"):
        here.go("visit", visit=visit.id, step="times")
    if here.person.is_worker and here.inspections.withdrawable(visit.id):
        label = "Withdraw a photo's or a hand's reading"
        if st.button(label, key="to-withdraw", width="stretch"):
            here.go("visit", visit=visit.id, step="withdraw")


def _times(one: CorrectedTimes) -> Times:
    return Times(one.total_time_h, one.cycles, one.landings)


def _why(here: Here, one: CorrectedTimes) -> str:
    return f"Put right by {here.name_of(one.person_id)}, {when(one.at)}: {one.reason}"


def times_words(times: Times) -> str:
    """Return an aircraft's times in words."""
    return f"{times.total_time_h:g} h, {times.cycles} cycles, {times.landings} landings"


def times_step(here: Here, visit: Inspection) -> None:
    """Draw the form of other times, and what is signed."""
    head(here, visit, "Times")
    st.title("Put the times right", anchor=False)
    use, person = here.inspections, here.person
    signed, corrected = use.times_of(visit.id)
    stands = _times(corrected[-1]) if corrected else signed
    show(f'<p class="gw-beside">What stands: <b>{text(times_words(stands))}</b></p>')
    st.write("Type what the log said on the day of the sign-off. What was signed stays, struck through.")
    hours = st.number_input("Total time in service, h", value=None, min_value=0.1, key="hours-right")
    cycles = st.number_input("Cycles", value=None, min_value=0, step=1, key="cycles-right")
    landings = st.number_input("Landings", value=None, min_value=0, step=1, key="landings-right")
    reason = st.text_input("Why they are put right", key="why-times")
    if hours is None or cycles is None or landings is None or not reason.strip():
        note("Type all three and why.")
    else:
        times = Times(hours, cycles, landings)
        proposed: list[Proposed] = []
        if tried(lambda: proposed.append(use.propose_times(person, visit.id, times, reason))):
            st.header("You sign", anchor=False)
            show(f'<p class="gw-beside">{text(times_words(times))}</p>')
            seen = proposed[0].record_hash

            def act(password: str) -> None:
                use.correct_times(person, visit.id, times, reason, password, seen)
                here.go("visit", visit=visit.id)

            sign(here, "times", seen, "Sign the times", act)
    back(here, visit)


def withdraw_step(here: Here, visit: Inspection, item_id: str | None) -> None:
    """Draw the readings that can be withdrawn, or the form for one."""
    head(here, visit, "Withdrawal")
    use, person = here.inspections, here.person
    found = use.withdrawable(visit.id)
    chosen = next((one for one in found if one.item.id == item_id), None)
    if chosen is None:
        st.title("Which reading does not stand?" if found else "No reading stands here", anchor=False)
        for one in found:
            if st.button(f"{one.title}, {one.leg}", key=f"withdraw-{one.item.id}", width="stretch"):
                here.go("visit", visit=visit.id, step="withdraw", item=one.item.id)
        back(here, visit)
        return
    st.title(f"Withdraw: {chosen.title}, {chosen.leg}", anchor=False)
    st.write(
        "Nothing is measured again on a visit that is signed off. The photos and the readings stay, "
        "struck through; a discrepancy stands in their place, and the next visit shows it first."
    )
    reason = st.text_input("Why it does not stand", key=f"why-{chosen.item.id}")
    if not reason.strip():
        note("Say why.")
    else:
        proposed: list[Proposed] = []
        if tried(lambda: proposed.append(use.propose_withdrawal(person, chosen.item.id, reason))):
            st.header("You sign", anchor=False)
            what = f"The reading of {chosen.title}, {chosen.leg}, does not stand."
            show(f'<p class="gw-beside">{text(what)}</p>')
            seen = proposed[0].record_hash

            def act(password: str) -> None:
                use.withdraw(person, chosen.item.id, reason, password, seen)
                here.go("visit", visit=visit.id)

            sign(here, "withdraw", seen, "Sign the withdrawal", act)
    back(here, visit)
