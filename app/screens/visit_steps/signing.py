"""A person's answers, item by item, and his signature under all of them."""

import streamlit as st

from app.inspection import Inspection
from app.inspection.rounds.batches import Batch
from app.screens.here import Here
from app.screens.visit_steps.shared import back, head, line_html, listing, sign


def step(here: Here, visit: Inspection) -> None:
    """Draw what is to be signed."""
    head(here, visit, "Sign")
    st.title("Sign your answers", anchor=False)
    use, person = here.inspections, here.person
    mine, supervised = use.to_sign(person, visit.id), use.to_supervise(person, visit.id)
    if not mine.lines and not supervised.lines:
        st.write("Nothing waits for your signature.")
    if mine.lines:
        _batch(mine, "You sign that you did each of these yourself and found what stands beside it.")
        sign(
            here, "work", mine.record_hash, f"Sign {len(mine.lines)} answers",
            lambda password: use.sign_work(person, visit.id, password, mine.record_hash),
        )  # fmt: skip
    if supervised.lines:
        st.header("Under your supervision", anchor=False)
        _batch(supervised, "You sign that a trainee did each of these under your eyes.")
        sign(
            here, "supervised", supervised.record_hash, f"Sign {len(supervised.lines)} as supervisor",
            lambda password: use.supervise(person, visit.id, password, supervised.record_hash),
        )  # fmt: skip
    back(here, visit)


def _batch(batch: Batch, words: str) -> None:
    st.write(f"{words} It does not release the aircraft.")
    listing([line_html(one) for one in batch.lines])
