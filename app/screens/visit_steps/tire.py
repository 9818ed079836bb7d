"""The tire's photo at its item: what keeps it locked, what is told first, the photo, what it gave.

``&draft=…`` the photo that is looked at; without it, what is told before the next one;
``&at=wheel`` its gauge instead.
"""

from collections.abc import Callable
from enum import Enum, auto

import streamlit as st

from app.inspection import Inspection, LegEntry, Try, TryState
from app.inspection.rounds.model import Finding
from app.inspection.rounds.photo_age import question_of
from app.inspection.rounds.tire_cold import Cold
from app.inspection.rounds.tire_photo import UNDAMAGED
from app.inspection.rounds.tire_rules import LINE, Shown
from app.inspection.rounds.walking import Stop
from app.screens.components import place_points, send_photo
from app.screens.here import Here
from app.screens.parts.guide import drawn_tire_guide
from app.screens.parts.markup import note, show, text
from app.screens.parts.pictures import annotated_html, original_html
from app.screens.parts.tire_results import tire_html
from app.screens.parts.words import TRY_STATES, when
from app.screens.round_steps.photo import earlier_view
from app.screens.visit_steps.shared import tried
from app.screens.visit_steps.tire_camera import camera_chosen
from vision.leg import read_leg

BY_GAUGE = "By gauge at the wheel instead"
STAGES = ("reading the photo", "measuring the tire", "drawing")
_EYE = {
    LINE: ("By eye at the wheel, is the line parallel to the ground?", ("It is", "It is not")),
    "": ("By eye at the wheel, has the tire slipped on the rim?", ("It has not", "It has")),
}
_OPEN = "Cannot tell"
_BY_TIME, _BY_BRAKE = "Time since the last landing", "Temperature of the brake"


class Below(Enum):
    """Which of the item's other answers are drawn below."""

    ALL = auto()
    NO_READING = auto()
    NONE = auto()


def step(here: Here, visit: Inspection, stop: Stop, leg: LegEntry, onward: Callable[[], None]) -> Below:
    """Draw the photo's way, where the item is read on one; return what belongs below it.

    Parameters
    ----------
    onward : callable
        Leaves for the next item, once the photo's reading is entered.
    """
    locks = here.inspections.tire_locks(stop.item.id)
    if locks is None:
        return Below.ALL
    mine = {one.id: one for one in here.inspections.tire_tries(here.person, stop.item.id)}
    asked = mine.get(st.query_params.get("draft", ""))
    if asked is not None:
        _one(here, visit, stop, asked, onward)
        here.link("visit", BY_GAUGE, visit=visit.id, item=stop.item.id, at="wheel")
        return Below.NONE
    if st.query_params.get("at") == "wheel":
        here.link("visit", "By photo instead", visit=visit.id, item=stop.item.id)
    elif locks:
        show('<p class="gw-beside">No photo of this tire now:</p>')
        show("<ul>" + "".join(f"<li>{text(one)}</li>" for one in locks) + "</ul>")
    else:
        _unfinished(here, visit, stop, list(mine.values()))
        in_vain = here.inspections.no_photo_will_do(here.person, stop.item.id)
        if in_vain:
            note(in_vain)
        _same_photo(here, visit, stop)
        _told_first(here, visit, stop, leg)
        _drawn(is_open=not mine)
        here.link("visit", BY_GAUGE, visit=visit.id, item=stop.item.id, at="wheel")
        return Below.NO_READING
    st.header("By gauge at the wheel", anchor=False)
    return Below.ALL


def _unfinished(here: Here, visit: Inspection, stop: Stop, mine: list[Try]) -> None:
    for one in mine[-1:]:
        if one.photo is not None and one.state is not TryState.SETTLED:
            here.link(
                "visit", f"Go on with your photo of {when(one.begun_at)}",
                visit=visit.id, item=stop.item.id, draft=one.id,
            )  # fmt: skip


def _same_photo(here: Here, visit: Inspection, stop: Stop) -> None:
    """Offer the photo that was taken for the tire's other item: it may show what is asked here too."""
    use, key = here.inspections, stop.item.id
    besides = use.tire_photos_besides(here.person, key)
    if not besides:
        return
    question, yes, no = _question(stop)
    with st.form(f"same-{key}", border=False):
        note(f"Your photo of this tire of {when(besides[-1].begun_at)} may show this too.")
        seen = st.radio(question, (yes, no, _OPEN), index=None, key=f"same-eye-{key}")
        pressed = st.form_submit_button("Use that photo", type="primary", width="stretch")
    if not pressed:
        return
    own = {yes: Finding.GOOD, no: Finding.FAULT, _OPEN: Finding.UNDECIDED}.get(seen or "")
    begun: list[Try] = []

    def begin() -> None:
        begun.append(use.begin_with_photo_of(here.person, key, besides[-1].id, own))
        use.photo_of_other(here.person, begun[0].id, besides[-1].id)

    if tried(begin):
        here.house.jobs.submit(begun[0].id)
        here.go("visit", visit=visit.id, item=key, draft=begun[0].id)


def _question(stop: Stop) -> tuple[str, str, str]:
    """What is asked by eye, and the good and the bad answer to it."""
    question, (yes, no) = _EYE.get(LINE if LINE in stop.wanted.measures else "", _EYE[""])
    return question, yes, no


def _told_first(here: Here, visit: Inspection, stop: Stop, leg: LegEntry) -> None:
    """Draw what has to be told before anybody stands beside the wheel, and begin the photo."""
    key = stop.item.id
    how = st.radio("The tire is cold by", (_BY_TIME, _BY_BRAKE), horizontal=True, key=f"cold-by-{key}")
    by_time = how == _BY_TIME
    camera = camera_chosen(here, key)
    question, yes, no = _question(stop)
    with st.form(f"cold-{key}-{by_time}", border=False):
        left, right = st.columns(2)
        first, second = (
            ("Hours since the last landing", "At least, by the document, h")
            if by_time
            else ("Brake, °C", "At most, by the document, °C")
        )
        with left:
            is_now = st.number_input(first, value=None, key=f"cold-now-{key}-{by_time}")
        with right:
            allowed = st.number_input(second, value=None, key=f"cold-allowed-{key}-{by_time}")
        document = st.text_input(
            "Document and revision",
            value=read_leg(leg.toml, leg.position).document,
            key=f"cold-document-{key}",
        )
        undamaged = st.checkbox(UNDAMAGED, key=f"undamaged-{key}")
        seen = st.radio(question, (yes, no, _OPEN), index=None, key=f"eye-{key}")
        pressed = st.form_submit_button("Go on to the photo", type="primary", width="stretch")
    if not pressed:
        return
    own = {yes: Finding.GOOD, no: Finding.FAULT, _OPEN: Finding.UNDECIDED}.get(seen or "")
    cold = (
        Cold(hours=is_now, least_hours=allowed, document=document)
        if by_time
        else Cold(brake_c=is_now, most_brake_c=allowed, document=document)
    )
    begun: list[Try] = []

    def begin() -> None:
        begun.append(here.inspections.begin_tire_try(here.person, key, cold, undamaged, own, camera))

    if tried(begin):
        here.go("visit", visit=visit.id, item=key, draft=begun[0].id)


def _one(here: Here, visit: Inspection, stop: Stop, work: Try, onward: Callable[[], None]) -> None:
    if work.state is TryState.AWAITING_PHOTO:
        show(
            '<ul class="gw-short"><li>Camera at the height of the line, square to the wheel.</li>'
            "<li>The whole wheel, and the ground under the tire, in the picture.</li>"
            "<li>No flash; the rim not in full glare.</li></ul>"
        )
        send_photo(work.id, key=f"photo-{work.id}", stages=STAGES)
        earlier_view(here, work)
        _drawn(is_open=False)
    elif work.state in (TryState.STORED, TryState.MEASURING):
        _being_measured(here, work)
    else:
        _gave(here, visit, stop, work, onward)


def _drawn(*, is_open: bool) -> None:
    with st.expander("The guide, drawn", expanded=is_open):
        show(drawn_tire_guide(st.context.theme.type))


def _being_measured(here: Here, work: Try) -> None:
    show("<p>The photo is kept whatever happens now; this page may be closed or loaded again.</p>")

    @st.fragment(run_every=0.5)
    def progress() -> None:
        now = here.inspections.try_of(here.person, work.id)
        if now.state not in (TryState.STORED, TryState.MEASURING):
            st.rerun()
        before = here.house.jobs.before(work.id)
        stage = now.stage or (f"{before} before yours" if before else TRY_STATES[now.state])
        words = text(stage[:1].upper() + stage[1:])
        show(f'<p class="gw-working" role="status"><i aria-hidden="true"></i>{words}</p>')

    progress()


def _gave(here: Here, visit: Inspection, stop: Stop, work: Try, onward: Callable[[], None]) -> None:
    with st.container(key="gw-answer"):
        with st.container():
            if work.result is None:
                show(f'<p class="gw-advice">{text(work.failure or "It gave no result.")}</p>')
            else:
                show(tire_html(work.result))
        with st.container():
            if work.annotated is not None:
                show(annotated_html(work.annotated, "Annotated copy of the photo of the tire"))
            elif work.photo is not None:
                show(original_html(work.photo, here.photo_size(work.photo), "The photo as it was taken"))
        with st.container():
            _deeds(here, visit, stop, work, onward)


def _deeds(here: Here, visit: Inspection, stop: Stop, work: Try, onward: Callable[[], None]) -> None:
    use = here.inspections
    if work.state is TryState.READ:
        question = question_of(work)
        if question:
            _explain(here, work, question)
        elif st.button(
            "Enter the photo's reading", key=f"enter-{work.id}", type="primary", width="stretch"
        ) and tried(lambda: use.answer_by_photo(here.person, work.id)):
            onward()
    kind = "secondary" if work.state is TryState.READ else "primary"
    if st.button("Photograph again", key=f"again-{work.id}", type=kind, width="stretch"):  # type: ignore[arg-type]
        here.go("visit", visit=visit.id, item=stop.item.id)
    if work.state is TryState.REFUSED:
        _show(here, visit, stop, work)


def _show(here: Here, visit: Inspection, stop: Stop, work: Try) -> None:
    """Offer to show on the photo what the program did not find, and to measure it again so."""
    width, height = (0, 0) if work.photo is None else here.photo_size(work.photo)
    if work.photo is None or not width:
        return
    with st.expander("Show it on the photo"):
        what = st.radio(
            "What the program is to be shown", list(Shown), index=None,
            format_func=lambda one: one.words[:1].upper() + one.words[1:], key=f"show-{work.id}",
        )  # fmt: skip
        if what is None:
            note("Where it did not find the rim or the level, you place it; the result says that you did.")
            return
        key = f"shown-{work.id}-{what}"
        points = place_points(
            work.photo, width, height, what.labels, key=key, keep_as=f"{here.person.id}.{key}"
        )
        placed = [one for one in points if one is not None]
        begun: list[Try] = []

        def begin() -> None:
            begun.append(here.inspections.begin_shown(here.person, work.id, what, placed))
            here.inspections.photo_of_other(here.person, begun[0].id, work.id)

        ready = len(placed) == what.least
        again = f"measure-shown-{work.id}"
        if ready and st.button("Measure with these points", key=again, width="stretch") and tried(begin):
            here.house.jobs.submit(begun[0].id)
            here.go("visit", visit=visit.id, item=stop.item.id, draft=begun[0].id)


def _explain(here: Here, work: Try, question: str) -> None:
    """Ask why a photo whose time does not fit counts; without a reason it is not entered."""
    show(f'<p class="gw-advice" role="status">{text(question)}</p>')
    with st.form(f"time-{work.id}", border=False):
        reason = st.text_input("Why it shows this tire in the condition stated", key=f"time-why-{work.id}")
        pressed = st.form_submit_button("State this reason", width="stretch")
    if pressed and tried(lambda: here.inspections.explain_time(here.person, work.id, reason)):
        st.rerun()
