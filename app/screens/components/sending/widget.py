"""`send_photo`: a photo from the phone's camera or gallery to the server, byte for byte."""

from collections.abc import Sequence
from typing import Literal
from urllib.parse import quote

import streamlit as st

from app.screens.components.assets import joined, script

Report = Literal["stored", "ready"]
"""The server has the photo; there is a result, or a refusal, to show."""

STAGES = ("reading the photo", "finding the card", "measuring the strut", "drawing")
"""What is done with a strut's photo, in order and in the words of the draft's state."""

_SCRIPT = (
    "shared/mounting.js",
    "shared/pauses.js",
    "sending/words.js",
    "sending/draft.js",
    "sending/outbox.js",
    "sending/upload.js",
    "sending/panel.js",
    "sending/main.js",
)
_widget = st.components.v2.component(
    "gearwitness_send_photo",
    html=joined(["sending/widget.html"]),
    css=joined(["shared/basis.css", "sending/widget.css"]),
    js=script(_SCRIPT),
)


def send_photo(draft_id: str, *, key: str | None = None, stages: Sequence[str] = STAGES) -> Report | None:
    """Let the person pick a photo, send it to ``/drafts/{draft_id}/photo`` and follow it to its result.

    The browser sends by HTTP and tries again until the server has acknowledged every
    byte, also while Streamlit's socket is dead; then it asks ``/drafts/{draft_id}`` for
    the state.  The page is run again when the photo is stored and when there is a result.
    What is true stands in the records, not in this value: read the try there.  Once it has
    a result, leave this widget out, or it will say "ready" again.  Not inside `st.form`,
    where nothing is reported.

    Parameters
    ----------
    draft_id : str
        Id of the try that wants a photo.
    key : str or None
        Streamlit's key of this widget; None makes one from the draft.
    stages : sequence of str
        The stages of measuring, in order, as the draft's state names them.

    Returns
    -------
    "stored", "ready" or None
        What the widget reported in this run; None in a run that something else began.
    """
    result = _widget(
        key=key or f"send_photo_{draft_id}",
        data={"draft": draft_id, "address": f"/drafts/{quote(draft_id, safe='')}", "stages": list(stages)},
        on_report_change=lambda: None,
    )
    report = result.get("report")
    return report if report in ("stored", "ready") else None
