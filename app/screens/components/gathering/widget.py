"""`send_photos`: many photos from the phone's gallery to the server, each byte for byte, each once."""

from collections.abc import Sequence
from urllib.parse import quote

import streamlit as st

from app.screens.components.assets import joined, script

_SCRIPT = (
    "shared/mounting.js",
    "shared/pauses.js",
    "sending/upload.js",
    "gathering/words.js",
    "gathering/journal.js",
    "gathering/panel.js",
    "gathering/main.js",
)
_widget = st.components.v2.component(
    "gearwitness_send_photos",
    html=joined(["gathering/widget.html"]),
    css=joined(["shared/basis.css", "sending/widget.css", "gathering/widget.css"]),
    js=script(_SCRIPT),
)


def send_photos(aircraft_id: str, there: Sequence[str], *, key: str | None = None) -> tuple[str, ...]:
    """Let the person pick photos of an aircraft, and send each to ``/aircraft/{id}/photos/{sha}``.

    What is picked is written into a journal in the browser before it is sent, and taken
    out once the server has answered that it has every byte.  So a reload, sleep or a
    dead spot loses nothing, and nothing is sent that the server has.  The page is run
    again for each photo that is stored; what is there stands in the records.

    Parameters
    ----------
    aircraft_id : str
        Id of the aircraft that the photos show.
    there : sequence of str
        SHA-256 in hex of the photos that this person has added for it: what the page knows
        of is not reported again.
    key : str or None
        Streamlit's key of this widget; None makes one from the aircraft.

    Returns
    -------
    tuple of str
        SHA-256 of photos that were stored since, hex; empty in a run that something else began.
    """
    address = f"/aircraft/{quote(aircraft_id, safe='')}/photos"
    result = _widget(
        key=key or f"send_photos_{aircraft_id}",
        data={"aircraft": aircraft_id, "address": address, "there": list(there)},
        on_report_change=lambda: None,
    )
    return tuple(str(result.get("report") or "").split())
