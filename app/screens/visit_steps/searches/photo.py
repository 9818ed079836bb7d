"""One photo: its way in, the hoses shown along it, the search, and what it refused."""

from collections.abc import Mapping, Sequence
from typing import Any

import streamlit as st

from app.inspection import Try
from app.inspection.rounds.photo_age import question_of
from app.inspection.rounds.search_views import HoseOfLeg, SearchedItem, SearchedPhoto, ShownHose
from app.screens.components import Place, place_some, send_photo
from app.screens.parts.markup import complaint, note, show, text
from app.screens.round_steps.photo import earlier_view
from app.screens.visit_steps.searches import marking, region
from app.screens.visit_steps.searches.judging import listed, offered
from app.screens.visit_steps.searches.searching import give_up, progress, shown_by_another, submit
from app.screens.visit_steps.searches.way import Way, drawn_guide, next_place
from app.screens.visit_steps.shared import tried

MOST_PLACES = 9
LEAST_SEARCHED = 3
"""With fewer places along it, no part of a hose counts as searched."""

_ALONG = (
    f"With fewer than {LEAST_SEARCHED} places no part of it counts as searched; "
    "what is not shown is not searched."
)
_BOTH = "Show on it each hose that is to be compared; what is not shown stays as it is."
_NEAR = 0.35  # CSS px to a photo px: a fingertip meets a hose of 40 px
Shown = dict[str, tuple[Place, ...]]


def step(way: Way, found: SearchedItem, this: SearchedPhoto) -> None:
    """Draw where this photo stands."""
    if this.step == "photo":
        arrive(way, this, way.words.how)
    elif this.step == "show" and way.kind.of_leg:
        show_hoses(way, found, this)
    elif this.step == "show":
        region.show_region(way, this)
    elif this.step in ("refused", "failed"):
        _refused(way, found, this)
    elif this.marking is None:
        marking.step(way, this)
    elif this.step == "searching":
        way.steps(2)
        st.header("Your marks are stored", anchor=False)
        progress(way, this)
    elif this.places and all(one.judged is None for one in this.places):
        way.go(draft=this.try_.id, place=this.places[0].key)
    else:
        _judged(way, this)


def arrive(way: Way, this: SearchedPhoto, how: Sequence[str]) -> None:
    """Draw how a photo is taken, and have it sent."""
    way.steps(0)
    lines = (*how, "Nothing held by hand in its way; nobody under a door or gear that is not pinned.")
    show('<ul class="gw-short">' + "".join(f"<li>{text(one)}</li>" for one in lines) + "</ul>")
    send_photo(this.try_.id, key=f"photo-{this.try_.id}", stages=way.words.stages)
    earlier_view(way.here, this.try_)
    with st.expander("The guide, drawn", expanded=this.number == 1):
        show(drawn_guide(way))


def show_hoses(
    way: Way,
    found: SearchedItem,
    this: SearchedPhoto,
    *,
    of: SearchedPhoto | None = None,
    again: bool = False,
) -> None:
    """Have each hose named and shown by places along it, and have the photo searched.

    Parameters
    ----------
    of : SearchedPhoto, optional
        The photo that this one is held against: only hoses that are shown on that one are shown here.
    """
    if shown_by_another(way, this, "Show the hoses on the photo", again=again):
        return
    st.write(
        f"Name a hose, then tap along its middle from one end to the other. {_ALONG if of is None else _BOTH}"
    )
    shown = _of_session(this.try_.id)
    on_first = None if of is None else {one["name"] for one in of.try_.options["taps"]}
    name = _which([one for one in found.hoses if on_first is None or one.name in on_first], this, shown)
    if name is not None:
        if of is not None:
            note(_same_end(of, name))
        _places(way, this, name, shown)
    if shown:
        _search(way, this, shown, of=of, again=again)
    if not again:
        give_up(way, this)


def _same_end(of: SearchedPhoto, name: str) -> str:
    """Say at which end a hose was begun on the first photo: only the same way round is compared."""
    points = next(one["points"] for one in of.try_.options["taps"] if one["name"] == name)
    (x, y), (to_x, to_y) = points[0], points[-1]
    across = abs(to_x - x) >= abs(to_y - y)
    side = ("left" if to_x >= x else "right") if across else ("top" if to_y >= y else "bottom")
    which = name or "the hose"
    return f"On photo {of.number} {which} was shown from the {side}: begin at the same end."


def _search(way: Way, this: SearchedPhoto, shown: Shown, *, of: SearchedPhoto | None, again: bool) -> None:
    for one, places in shown.items():
        few = (
            ""
            if of is not None or len(places) >= LEAST_SEARCHED
            else ": too few, no part of it will count as searched"
        )
        note(f"{one or 'The hose'}: {len(places)} places{few}.")
        if len(shown) > 1 and st.button(f"Leave {one} out", key=f"out-{this.try_.id}-{one}", type="tertiary"):
            del shown[one]
            _anew(this, one, +1)
            st.rerun()
    taps = [ShownHose(one, places) for one, places in shown.items()]
    label = "Search this hose" if len(taps) == 1 else f"Search these {len(taps)} hoses"
    if of is not None:
        label = f"Compare with photo {of.number}"
    use, person, begun = way.here.inspections, way.here.person, list[Try]()

    def search() -> None:
        act = use.search_again if again else use.show_hoses
        begun.append(act(person, this.try_.id, taps))

    if st.button(label, key=f"search-{this.try_.id}", type="primary", width="stretch") and tried(search):
        submit(way, begun[0])


def _of_session(try_id: str) -> Shown:
    """What is shown so far: nothing of value, for the marks themselves outlive a reload in the browser."""
    kept: dict[str, Shown] = st.session_state.setdefault("hoses-shown", {})
    return kept.setdefault(try_id, {})


def _anew(this: SearchedPhoto, name: str, more: int = 0) -> int:
    """How often a hose was left out again: its marks begin anew then, under a key of their own."""
    times: dict[tuple[str, str], int] = st.session_state.setdefault("hoses-left-out", {})
    times[this.try_.id, name] = times.get((this.try_.id, name), 0) + more
    return times[this.try_.id, name]


def _which(hoses: Sequence[HoseOfLeg], this: SearchedPhoto, shown: Shown) -> str | None:
    """Return the name of the hose that is shown now; asked only where the leg has several."""
    names = [one.name for one in hoses if not one.why_not]
    if len(hoses) < 2:
        return names[0] if names else None
    return st.radio(
        "Which hose", names, index=None, key=f"which-{this.try_.id}", horizontal=True,
        format_func=lambda one: f"{one} (shown)" if one in shown else one,
    )  # fmt: skip


def _places(way: Way, this: SearchedPhoto, name: str, shown: Shown) -> None:
    photo = this.try_.photo or ""
    width, height = way.here.photo_size(photo)
    if not width:
        complaint(way.words.cannot_be_shown)
        return
    key = f"along-{this.try_.id}-{name}-{_anew(this, name)}"
    places = place_some(
        photo, width, height, "place along the hose", MOST_PLACES,
        key=key, fine=_NEAR, keep_as=f"{way.here.person.id}.{key}",
    )  # fmt: skip
    if places:
        shown[name] = places


def _refused(way: Way, found: SearchedItem, this: SearchedPhoto) -> None:
    refusal(this.try_.result or {"reason": this.try_.failure or "This photo was given up."})
    question = question_of(this.try_) if this.places and not way.second else ""
    if question:
        explain(way, this, question)
    listed(way, this)
    if way.second:
        if st.button("Go on", key="hose-on", type="primary", width="stretch"):
            way.onward()
        return
    if this.step == "refused":
        with st.expander(way.words.show_again, expanded=True):
            if way.kind.of_leg:
                show_hoses(way, found, this, again=True)
            else:
                region.show_region(way, this, again=True)
    way.link(way.words.photograph_again)


def refusal(told: Mapping[str, Any], head: str = "Not searched") -> None:
    """Draw why a photo was not searched, and the one thing to do."""
    show(f'<p class="gw-beside">{head}: {text(str(told["reason"]))}</p>')
    if told.get("advice"):
        show(f'<p class="gw-advice"><b>What to do</b>{text(str(told["advice"]))}</p>')


def explain(way: Way, this: SearchedPhoto, question: str) -> None:
    """Ask why a photo whose time does not fit counts; without a reason it is not entered."""
    show(f'<p class="gw-advice" role="status">{text(question)}</p>')
    with st.form(f"time-{this.try_.id}", border=False):
        reason = st.text_input(way.words.why_it_shows, key=f"why-{this.try_.id}")
        pressed = st.form_submit_button("State this reason", width="stretch")
    if pressed and tried(lambda: way.here.inspections.explain_time(way.here.person, this.try_.id, reason)):
        st.rerun()


def _judged(way: Way, this: SearchedPhoto) -> None:
    """The photo's places as a list: to go on where one is open, to change one before the signature."""
    way.steps(2)
    st.header(f"Photo {this.number}: {len(this.places)} places", anchor=False)
    question = "" if way.second else question_of(this.try_)
    if question:
        explain(way, this, question)
    place = next_place(this)
    if place is not None:
        if st.button("Judge the next place", key="judge-next", type="primary", width="stretch"):
            way.go(draft=this.try_.id, place=place.key)
        offered(way, this)
    elif st.button("Go on", key="hose-on", type="primary", width="stretch"):
        way.onward()
    listed(way, this)
    if this.aside:
        way.link(f"Set aside by the search: {len(this.aside)}", draft=this.try_.id, part="aside")
