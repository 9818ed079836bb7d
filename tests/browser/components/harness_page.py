"""The page of the harness: one widget, and what Python has of it, in words a test can read."""

import json

import streamlit as st

from app.screens.components import STRUT_LABELS, place_points, place_some, send_photo
from tests.browser.components.harness_state import HARNESS

asked = st.query_params
if "draft" in asked:
    draft = asked["draft"]
    st.markdown("# Photo of the left main leg")
    if HARNESS.state_of(draft)["result_ready"]:
        st.markdown("The reading is shown here.")
    else:
        report = send_photo(draft)
        st.markdown(f"reported: {report}")
elif "sha" in asked:
    st.markdown("# Place what you see")
    labels = asked.get_all("label") or STRUT_LABELS
    places = (
        place_some(
            asked["sha"],
            int(asked["width"]),
            int(asked["height"]),
            asked["some"],
            int(asked["most"]),
            key="places",
            fine=0.4,
            keep_as=asked.get("keep"),
        )
        if "some" in asked
        else place_points(
            asked["sha"],
            int(asked["width"]),
            int(asked["height"]),
            labels,
            key="places",
            keep_as=asked.get("keep"),
        )
    )
    st.code(json.dumps(places or None), language=None)
    st.button("Run the page again")
