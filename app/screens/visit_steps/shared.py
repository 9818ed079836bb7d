"""What the steps of a visit share: head, way back, words for what was found, the signature's field."""

from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from app.bootstrap.looking import paper
from app.inspection import Aircraft, Inspection
from app.inspection.rounds.batches import Line
from app.inspection.rounds.model import Finding
from app.inspection.rounds.search_kinds import kind_judged
from app.record.words import counted, tire_state
from app.screens.here import Here
from app.screens.parts.markup import complaint, note, show, text
from app.screens.parts.words import short
from vision.errors import GearwitnessError
from vision.units import format_reading

FINDINGS: dict[Finding, str] = {
    Finding.GOOD: "Nothing wrong",
    Finding.FAULT: "Wrong",
    Finding.UNDECIDED: "Undecided: read again with a better instrument",
    Finding.NOT_FITTED: "Not fitted",
}

_ON_PHOTOS = {
    Finding.GOOD: "Judged on photos",
    Finding.UNDECIDED: "Cannot be told from the photos: both look by hand and mirror",
}


def finding_words(finding: Finding, reading: Mapping[str, Any] | None) -> str:
    """Return what was found, in words; of what was judged on searched photos no more than that it was."""
    return (_ON_PHOTOS if is_judged(reading) else {}).get(finding, FINDINGS[finding])


def is_judged(reading: Mapping[str, Any] | None) -> bool:
    """Return whether an answer or a look was given by judging searched photos."""
    return kind_judged(reading) is not None


def head(here: Here, visit: Inspection, sheet: str, leg: str = "") -> Aircraft:
    """Draw the title block of a visit's step, and return the aircraft."""
    (aircraft,) = (one for one in here.inspections.aircraft() if one.id == visit.aircraft_id)
    here.head(("Aircraft", aircraft.registration), ("Leg", leg) if leg else ("Sheet", sheet))
    return aircraft


def back(here: Here, visit: Inspection, **to: str) -> None:
    """Draw the way back to the visit, or to a leg of it."""
    label = "Back to the leg's round" if "leg" in to else "Back to the visit"
    here.link("visit", label, visit=visit.id, **to)


def record_file(here: Here, visit: Inspection) -> None:
    """Draw the visit's work record as a file; it is made when it is asked for."""
    st.download_button(
        "Work record (PDF)",
        data=lambda: paper(here.house, visit.id, here.person),
        file_name=f"work-record-{visit.id[:8]}.pdf",
        mime="application/pdf",
        on_click="ignore",
        key="record-pdf",
    )


def tried(act: Callable[[], Any]) -> bool:
    """Do something, or say why it was not done; return whether it was."""
    try:
        act()
    except GearwitnessError as refused:
        complaint(str(refused))
        return False
    except ValueError as unreadable:
        complaint(str(unreadable))
        return False
    return True


def reading_words(reading: Mapping[str, Any] | None) -> str:
    """Return what was read or counted, in words; empty where nothing was."""
    if not reading:
        return ""
    if "value" in reading:
        unit = reading["unit"]
        how = f"{tire_state(reading)}, ".removeprefix(", ")
        shown = f"{reading['value']:.4g} {unit} ± {reading['expanded_u']:.2g} {unit}"
        if not reading.get("instrument"):  # from a photo: the difference of two is looked at
            shown = format_reading(reading["value"], reading["expanded_u"], unit)
        return (
            f"{shown}, {how}limits "
            f"{_bound(reading['lower'])} to {_bound(reading['upper'])} {unit} ({reading['document']}), "
            f"{_read_with(reading)}"
        )
    return counted(reading) or str(reading.get("document", ""))


def _read_with(reading: Mapping[str, Any]) -> str:
    tool = reading.get("instrument")
    if tool:
        return f"{tool['kind']} {tool['number']}, due {tool['due']}"
    if "placed_px" in reading:
        return "placed on the bare photo"
    level = reading.get("level_from")
    return f"read on its photo{f', level told by {level}' if level else ''}"


def _bound(value: float | None) -> str:
    return "—" if value is None else f"{value:.4g}"


def line_html(line: Line, beside: str = "") -> str:
    """Return one item of a batch as it is signed; `beside` follows what was said, where anything was."""
    said = " · ".join(part for part in (line.text, reading_words(line.reading)) if part)
    said = " — ".join(part for part in (said, beside) if part)
    return (
        f"<li><div><b>{text(line.title)}</b><small>{text(line.leg)}</small></div>"
        f"<div><b>{text(finding_words(line.finding, line.reading))}</b></div>"
        f'<div class="gw-said">{text(said)}</div></li>'
    )


def sign(here: Here, key: str, seen: str, label: str, act: Callable[[str], Any]) -> None:
    """Draw the field that signs what stands above it; the form belongs to this very content.

    Parameters
    ----------
    seen : str
        Hash of the record that is shown; pressed below another, it signs nothing.
    act : callable
        Takes the password.
    """
    with st.form(f"{key}-{seen}", border=False):
        note(f"Record {short(seen)}…")
        password = st.text_input(
            f"Password of {here.person.name}: it signs this",
            type="password",
            key=f"{key}-password-{seen}",
            autocomplete="off",
        )
        pressed = st.form_submit_button(label, type="primary", width="stretch", key=f"{key}-press-{seen}")
    if pressed and tried(lambda: act(password)):
        st.rerun()


def listing(items: list[str]) -> None:
    """Draw a list of rows made by `line_html` and the like."""
    show(f'<ul class="gw-readings">{"".join(items)}</ul>')
