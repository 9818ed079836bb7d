"""The second person on a tire's photo: his own points on the bare one, then all readings side by side."""

from typing import Any

import streamlit as st

from app.errors import NotAllowed
from app.inspection import Inspection
from app.inspection.rounds.looks import Compared
from app.inspection.rounds.model import Finding
from app.inspection.rounds.tire_rules import LINE
from app.inspection.rounds.walking import Stop
from app.screens.components import place_points
from app.screens.here import Here
from app.screens.parts.markup import complaint, facts, note, show, text
from app.screens.parts.pictures import annotated_html
from app.screens.parts.tire_results import tire_html
from app.screens.parts.words import when
from app.screens.visit_steps.shared import tried
from vision.results import Verdict

EXPLAINED = {
    LINE: (
        "Place the two ends of the line where you see them, each at the middle of its width. "
        "Level is the program's: what you place is the line."
    ),
    "": (
        "Place two points at the flange's edge, each at the middle of the mark's width: "
        "where its part on the tire meets the edge, and where its part on the rim does."
    ),
}
_EYE = {
    Finding.GOOD: "nothing wrong",
    Finding.FAULT: "something wrong",
    Finding.UNDECIDED: "it could not be told",
}
_GAVE = {
    Verdict.WITHIN: "read within",
    Verdict.OUTSIDE: "read outside",
    Verdict.UNDECIDED: "could not tell",
    None: "gave no answer",
}
_AFTER = "What the program read of it is shown once yours is stored; yours is final then."


def step(here: Here, visit: Inspection, stop: Stop) -> bool:
    """Draw the bare photo where the item was answered with one; return whether it was.

    The way to look at the wheel instead stays open: something may be wrong that no photo shows.
    """
    if st.query_params.get("at") == "wheel":
        return False
    try:
        bare = here.inspections.bare_tire(here.person, stop.item.id)
    except NotAllowed as refused:
        complaint(str(refused))
        _to_wheel(here, visit, stop)
        return True
    if bare is None:
        return False
    if bare.mine is not None:
        note("You have looked at this: it waits for your signature.")
        return True
    width, height = here.photo_size(bare.photo)
    st.write(f"{EXPLAINED.get(bare.asked, EXPLAINED[''])} {_AFTER}")
    if not width:
        complaint("the photo cannot be shown: look at the wheel, and have the archive checked")
    else:
        key = f"place-{stop.item.id}-{bare.photo[:12]}"
        points = place_points(
            bare.photo, width, height, bare.labels, key=key, keep_as=f"{here.person.id}.{key}"
        )
        placed = [one for one in points if one is not None]
        if len(placed) == len(bare.labels):
            st.write("Both are placed. Stored, they are your reading: it is not changed afterwards.")
            if st.button(
                "Store my reading", key=f"store-{stop.item.id}", type="primary", width="stretch"
            ) and tried(lambda: here.inspections.look_at_photo(here.person, stop.item.id, placed)):
                here.go("visit", visit=visit.id, step="second")
    with st.expander("What the mechanic stated"):
        show(facts([("Photographed by", bare.performer.name)]))
        show("<ul>" + "".join(f"<li>{text(line)}</li>" for line in bare.statements) + "</ul>")
    _to_wheel(here, visit, stop)
    return True


def _to_wheel(here: Here, visit: Inspection, stop: Stop) -> None:
    here.link("visit", "Look at the wheel instead", visit=visit.id, look=stop.item.id, at="wheel")


def beside(here: Here, both: Compared) -> None:
    """Draw the photo that a first answer stands on, and what others gave, for who has answered himself."""
    _others(here, both)
    try_id = (both.first.reading or {}).get("try_id")
    this = None if try_id is None else here.inspections.try_read(here.person, str(try_id))
    if this is None and _is_tires(both.first.reading):
        note(
            f"{both.first.title}, {both.first.leg}: its photo shows more of this wheel. What was read and "
            "drawn on it is shown once you have looked at what else is read on photos of the wheel."
        )
    if this is None or this.result is None:
        return
    st.header(f"{both.first.title}, {both.first.leg}", anchor=False)
    readings, picture = st.columns([6, 5], gap="large")
    with readings:
        show(tire_html(this.result))
    with picture:
        if this.annotated is not None:
            show(annotated_html(this.annotated, f"Annotated copy of the photo: {both.first.title}"))


def _is_tires(reading: dict[str, Any] | None) -> bool:
    """Whether an answer's reading stands on a tire's photo."""
    return reading is not None and "try_id" in reading


def _others(here: Here, both: Compared) -> None:
    """Tell what was seen by eye before each other photo of the item, and what that photo gave."""
    found = here.inspections.other_photos(here.person, both.mine.id)
    if found:
        note(
            f"{both.first.title}, {both.first.leg}: other photos of it, and what was seen by eye before each"
        )
        said = (
            f"{when(one.at)}, {one.performer.name}: by eye {_EYE[one.own]}; the photo {_GAVE[one.verdict]}."
            for one in found
        )
        show("<ul>" + "".join(f"<li>{text(line)}</li>" for line in said) + "</ul>")
