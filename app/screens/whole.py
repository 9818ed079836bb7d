"""Whether the archive is whole: files, entries and chains checked while the person waits."""

import streamlit as st

from app.screens.here import Here
from app.screens.parts.markup import note, show, text


def whole_archive(here: Here) -> None:
    """Draw the button that checks everything, and what it found."""
    st.header("Is it whole?", anchor=False)
    st.write("Every photo against the hash that names it, every entry against the chain of events.")
    if not st.button("Check the archive", key="verify"):
        return
    found = here.house.archive.verify()
    if found.faults:
        items = "".join(f"<li>{text(fault.where)}: {text(fault.what)}</li>" for fault in found.faults)
        head = f"Not whole: {len(found.faults)} fault{'s' if len(found.faults) > 1 else ''}"
        show(f'<div class="gw-complaint" role="alert"><b>{head}</b><ul>{items}</ul></div>')
    else:
        show('<p class="gw-whole" role="status">Whole: photos, entries, chains and signatures agree.</p>')
    if found.orphans:
        count = len(found.orphans)
        note(f"{count} files belong to no entry: they were being stored when the program was ended.")
