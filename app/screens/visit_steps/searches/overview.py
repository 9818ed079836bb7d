"""The item's own page: its photos and where each stands, what is left, and the next photo."""

import streamlit as st

from app.inspection import Inspection, Try
from app.inspection.rounds.search_views import SearchedItem
from app.inspection.rounds.walking import Stop
from app.screens.here import Here
from app.screens.parts.markup import note, show, text
from app.screens.visit_steps.searches import aside, by_hand, cover, entering, judging, pair, photo
from app.screens.visit_steps.searches.way import Way, drawn_guide, following, photo_of, second_of
from app.screens.visit_steps.shared import is_judged, tried
from app.screens.visit_steps.tire import Below

_BESIDE = "Beside the eye: have a photo of a surface searched"
_HELP_ONLY = (
    "The search points at places that you judge one by one, and says nothing of what it did not show. Hand, "
    "light and mirror stay with you: the item is answered as well without a photo."
)
_STATES = {
    "photo": "no photo yet",
    "searching": "being searched",
    "mark": "not marked yet",
    "judge": "places are not judged yet",
    "done": "every place is judged",
    "refused": "not searched",
    "failed": "given up",
}
_NOTHING_SHOWN = ("photo", "refused", "failed")
"""Photos that leave an item by hand and eye as it is."""

_SECONDS = {"searching": "being compared", "done": "compared", "refused": "not compared"}
_PARTS = {"cover": cover.step, "hand": by_hand.step, "enter": entering.step}


def step(here: Here, visit: Inspection, stop: Stop) -> Below | None:
    """Draw the way of an item that is searched on photos.

    Returns
    -------
    Below or None
        Which of the item's other answers are drawn below it; None for every other item.
    """
    locks = here.inspections.search_locks(stop.item.id)
    if locks is None:
        return None
    way = Way(here, visit, stop)
    found = way.found()
    rejected = found.rejected and not is_step_of_its_own(here, stop)
    if rejected or st.query_params.get("at") == "hand":
        if rejected:
            show(f'<p class="gw-beside">{text(found.locks[0])}</p>')
        else:
            way.link("By photo instead")
        return _by_hand(way, found)
    if routed(way, found):
        return Below.NONE
    if locks and not found.photos:
        show(f'<p class="gw-beside">{way.words.no_photo_now}</p>')
        show("<ul>" + "".join(f"<li>{text(one)}</li>" for one in locks) + "</ul>")
        return _by_hand(way, found)
    if not found.photos:
        _offered(way, found, locked=bool(locks))
    else:
        _own_page(way, found, locked=bool(locks))
    if not found.photos or (not way.kind.of_leg and all(one.step in _NOTHING_SHOWN for one in found.photos)):
        return _by_hand(way, found)
    way.link("Something is wrong, or no photo will do", at="hand")
    return Below.NONE


def _offered(way: Way, found: SearchedItem, *, locked: bool) -> None:
    """Draw the way to a first photo: of hoses before the hand, of a surface folded beside the eye."""
    if not way.kind.of_leg:
        with st.expander(_BESIDE):
            st.write(_HELP_ONLY)
            _begin(way, 0)
        return
    _own_page(way, found, locked=locked)
    st.header(way.words.without_photo, anchor=False)


def _by_hand(way: Way, found: SearchedItem) -> Below:
    return Below.ALL if by_hand.ordinary(way, found) else Below.NO_READING


def is_step_of_its_own(here: Here, stop: Stop) -> bool:
    """Return whether the address names a step of a photo's way, whose page needs all the room."""
    named = any(st.query_params.get(one) for one in ("draft", "part"))
    return named and here.inspections.search_locks(stop.item.id) is not None


def is_looked_through(here: Here, stop: Stop) -> bool:
    """Return whether the address leads to a photo of the person's own answer, which is not signed yet."""
    return bool(st.query_params.get("draft") or st.query_params.get("part")) and _is_open(here, stop)


def answered(here: Here, visit: Inspection, stop: Stop) -> None:
    """Draw the way back to every judgement of the person's own answer, while it is not signed.

    Of an ordinary one, what "nothing wrong" would still need.
    """
    if _is_open(here, stop):
        for photo_ in here.inspections.searched_item(here.person, stop.item.id).photos:
            Way(here, visit, stop).link(f"The judgements on photo {photo_.number}", draft=photo_.try_.id)
    elif (
        stop.mine is not None
        and here.inspections.search_locks(stop.item.id) is not None
        and not _is_by_photo(stop)
    ):
        by_hand.left_for_correction(Way(here, visit, stop))


def _is_open(here: Here, stop: Stop) -> bool:
    mine = stop.mine
    if mine is None or mine.signature_id is not None or not _is_by_photo(stop):
        return False
    return here.inspections.search_locks(stop.item.id) is not None


def _is_by_photo(stop: Stop) -> bool:
    return stop.mine is not None and is_judged(stop.mine.reading)


def routed(way: Way, found: SearchedItem) -> bool:
    """Draw the step that the address names; return whether it names one."""
    draft = st.query_params.get("draft", "")
    this = photo_of(found, draft)
    part = st.query_params.get("part", "")
    beside = second_of(found, draft)
    if beside is not None:
        pair.step(way, found, *beside)
    elif this is not None and part == "pair":
        pair.offer(way, this)
    elif this is not None and part == "aside":
        aside.step(way, this)
    elif this is not None and st.query_params.get("place"):
        judging.step(way, this, st.query_params["place"])
    elif this is not None:
        photo.step(way, found, this)
    elif part in _PARTS:
        _PARTS[part](way, found)
    else:
        return False
    return True


def _own_page(way: Way, found: SearchedItem, *, locked: bool) -> None:
    if found.photos:
        _photos(way, found)
        if not found.answered and st.button("Go on", key="hose-on", type="primary", width="stretch"):
            way.go(**following(found))
    if not locked:
        with st.container() if not found.photos else st.expander(way.words.another):
            _begin(way, len(found.photos))
    with st.expander("The guide, drawn"):
        show(drawn_guide(way))


def _photos(way: Way, found: SearchedItem) -> None:
    states = _STATES | {"show": way.words.not_shown}
    for one in found.photos:
        side = one.try_.options.get("seen_from", "")
        way.link(f"Photo {one.number} ({side}): {states[one.step]}", draft=one.try_.id)
        for second in one.seconds:
            words = f"Photo {second.number}, held against photo {one.number}"
            way.link(f"{words}: {(states | _SECONDS)[second.step]}", draft=second.try_.id)
        if one.aside and one.step in ("judge", "done"):
            way.link(f"Set aside on photo {one.number}: {len(one.aside)}", draft=one.try_.id, part="aside")


def _begin(way: Way, photos: int) -> None:
    if not photos:
        way.steps(0)
    for hose in way.here.inspections.hoses_of(way.item_id) if way.kind.of_leg else ():
        if hose.why_not:
            note(f"{hose.name or 'A hose'}: {hose.why_not}")
    with st.form(f"hose-begin-{way.item_id}-{photos}", border=False):
        side = st.text_input(
            way.words.from_where, key=f"seen-from-{way.item_id}-{photos}",
            placeholder=way.words.from_where_example,
        )  # fmt: skip
        pressed = st.form_submit_button("Go on to the photo", type="primary", width="stretch")
    begun: list[Try] = []
    if pressed and tried(
        lambda: begun.append(way.here.inspections.begin_search_try(way.here.person, way.item_id, side))
    ):
        way.go(draft=begun[0].id)
