"""Same view, earlier visit: two photos of a leg's item held against each other, and looked at by a person.

``/compare?leg=…&what=…`` the photos; ``&now=TRY&earlier=TRY`` which two.
"""

from collections.abc import Sequence

import streamlit as st

from app.bootstrap import House
from app.inspection.history import History, PastReading
from app.screens.here import Here
from app.screens.parts.markup import note, show, text
from app.screens.parts.verdict import Mark, mark_html
from app.screens.parts.visits import leg_of
from app.screens.parts.words import item_words, when
from vision.compare import Answer, FilesCompared, compare_files
from vision.errors import PhotoError

MARKS: dict[Answer, Mark] = {
    Answer.CHANGED: Mark("diamond", "Changed", "Look at every place that is outlined."),
    Answer.SAME: Mark("disc", "No change found", "Where it was compared. It is no inspection."),
    Answer.NOT_COMPARABLE: Mark("square", "Not comparable", "These two photos tell nothing about change."),
}
_BESIDE, _EARLIER, _NOW, _TURNS = "Side by side", "Earlier", "Now", "In turn"
_MOST_CHANGES = 12


def page(here: Here) -> None:
    """Draw the choice of two photos and what comparing them gave."""
    leg_id, key = st.query_params.get("leg", ""), st.query_params.get("what", "strut_extension")
    craft, leg = leg_of(here.inspections, leg_id)
    here.head(("Aircraft", craft.registration), ("Leg", leg.position))
    st.title("Same view, earlier visit", anchor=False)
    st.write(item_words(key))
    past = History(here.house.archive.records).of_leg(here.person, leg_id, key)
    photos = {one.id: one for one in reversed(past) if one.photo is not None}
    if len(photos) < 2:
        st.write("Two photos of this item that you may see are needed, and there are not.")
        here.link("trend", "Readings over time", leg=leg_id, what=key)
        return
    now, earlier = _chosen(photos, History(here.house.archive.records).withdrawn())
    if now.photo == earlier.photo:
        st.write("This is the same photo twice: choose another one.")
        return
    with st.spinner("Comparing both photos…"):
        try:
            found = _compared(here.house, earlier.photo or "", now.photo or "", _scale(now))
        except PhotoError as error:
            show(f'<p class="gw-advice">{text(str(error))}</p>')
            return
    _answer(found)
    _stand(found.stand)
    here.link("trend", "Readings over time", leg=leg_id, what=key)


def _chosen(photos: dict[str, PastReading], withdrawn: dict[str, str]) -> tuple[PastReading, PastReading]:
    """Draw the choice, the newest photo first; the one of the visit before stands beside it."""
    ids = list(photos)
    newest = photos[ids[0]]
    before = next((one for one in ids if photos[one].item_id != newest.item_id), ids[1])
    left, right = st.columns(2)

    def words(id_: str) -> str:
        one = photos[id_]
        return when(one.at) + (", reading withdrawn" if one.item_id in withdrawn else "")

    with left:
        earlier = st.selectbox("Earlier", ids, ids.index(before), format_func=words, key="earlier")
    with right:
        now = st.selectbox("Now", ids, 0, format_func=words, key="now")
    return photos[now], photos[earlier]


def _scale(one: PastReading) -> float | None:
    found = ((one.result or {}).get("evidence") or {}).get("px_per_mm")
    return float(found) if isinstance(found, int | float) and found > 0 else None


@st.cache_data(show_spinner=False, max_entries=30)
def _compared(_house: House, earlier: str, now: str, px_per_mm: float | None) -> FilesCompared:
    """Compare once: the bytes behind a hash never change."""
    photos = _house.archive.photos
    return compare_files(photos.get(earlier), photos.get(now), px_per_mm)


def _answer(found: FilesCompared) -> None:
    show(mark_html(MARKS[found.answer]))
    result = found.result
    if found.answer is Answer.NOT_COMPARABLE:
        show(
            f"<p>{text(result['reason'])}</p>"
            f'<p class="gw-advice"><b>What to do</b>{text(result["advice"])}</p>'
        )
        st.image(found.beside, width="stretch")
        note("Earlier on the left, now on the right")
        return
    share = (
        f"{result['share_compared']:.0%} of the present photo was compared; the rest counts as not looked at."
    )
    changes = result["changes"]
    if changes:
        places = f"{len(changes)} place{'s' if len(changes) > 1 else ''}, outlined on both photos. "
        share = places + share
    st.write(share)
    if len(changes) > _MOST_CHANGES:
        note("So many places often mean another light or a hard shadow: look at both photos in turn.")
    _pictures(found)


def _pictures(found: FilesCompared) -> None:
    assert found.flicker is not None
    way = st.radio("Show", (_BESIDE, _EARLIER, _NOW, _TURNS), horizontal=True, key="way")
    picture, words = {
        _BESIDE: (found.beside, "Earlier on the left, now on the right"),
        _EARLIER: (found.flicker.earlier, "The earlier photo, laid on the present one"),
        _NOW: (found.flicker.now, "The present photo"),
        _TURNS: (found.flicker.both, "Both in turn; choose Earlier or Now to hold one still"),
    }[str(way)]
    st.image(picture, width="stretch")
    note(words)


def _stand(words: Sequence[str]) -> None:
    st.header("For the same view again", anchor=False)
    if not words:
        st.write("The camera stood where it stood before, as near as a hand holds it.")
        return
    for one in words:
        st.write(one)
