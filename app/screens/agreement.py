"""Human against machine, by the version of the software that read: difference plots, coverage, pairs to keep.

The same pairs are what a commissioning study of a leg type is made of.
"""

import csv
import io
from collections.abc import Iterator, Sequence
from typing import Any

import streamlit as st

from app.inspection.history import History, PastReading
from app.measuring.software import KEY
from app.screens.here import Here
from app.screens.parts.markup import drawing, facts, note, show
from app.trends import Agreement, HumanBy, Pair, Share, agreements
from vision.units import format_mm

WAYS: dict[HumanBy, str] = {
    HumanBy.RULE: "against a rule or gauge at the aircraft",
    HumanBy.PLACED: "against points placed on the same photo",
}
_ENOUGH = 20
"""Pairs from which on the practice takes a study for one; fewer are shown and called few."""


def page(here: Here) -> None:
    """Draw what people and program say of the same struts."""
    here.head(("Sheet", "Agreement"))
    st.title("People and program", anchor=False)
    st.write(
        "Every settled photo reading beside what a person read of the same strut. Points placed on the same "
        "photo share its scale: they check edges, and only a rule checks the scale."
    )
    past = History(here.house.archive.records).of_all(here.person, "strut_extension")
    pairs = list(pairs_of(past))
    if not pairs:
        st.write("No settled reading has a person's reading beside it yet.")
        return
    for one in agreements(pairs):
        _agreement(one)
    st.header("For a commissioning study", anchor=False)
    rules = sum(pair.by is HumanBy.RULE for pair in pairs)
    st.write(f"{rules} pairs of photo and rule. A study is stored and approved by a named person.")
    st.download_button("All pairs as CSV", csv_of(pairs), "gearwitness-pairs.csv", "text/csv")
    note(
        "Hoses are not counted here: what two people judged on their photos stands with each item, "
        "and no share of wear is told from it."
    )


def pairs_of(past: Sequence[PastReading]) -> Iterator[Pair]:
    """Return each photo reading paired with each human one of the same strut on the same visit."""
    for one in past:
        if one.value is None or one.expanded_u is None:
            continue
        result: dict[str, Any] = one.result or {}
        version = (result.get("evidence") or {}).get(KEY, "")
        name = result.get("name", "")
        value, u = one.value, one.expanded_u
        if one.placed is not None:
            placed = one.placed
            yield Pair(
                version, name, value, u, placed.value_mm, placed.expanded_u_mm, HumanBy.PLACED, one.id,
                placed.difference_u_mm,
            )  # fmt: skip
        if one.own_hand_mm is not None and one.own_hand_u_mm is not None:
            yield Pair(version, name, value, u, one.own_hand_mm, one.own_hand_u_mm, HumanBy.RULE, one.id)
        for hand in one.hands:
            yield Pair(version, name, value, u, hand.value_mm, hand.expanded_u_mm, HumanBy.RULE, one.id)


def csv_of(pairs: Sequence[Pair]) -> str:
    """Return the pairs as a table for other programs, mm."""
    stream = io.StringIO()
    table = csv.writer(stream)
    table.writerow(["try", "software", "by", "program_mm", "program_U_mm", "person_mm", "person_U_mm"])
    for one in pairs:
        table.writerow(
            [one.id, one.version, one.by.value, one.machine, one.machine_u, one.human, one.human_u]
        )
    return stream.getvalue()


def _agreement(one: Agreement) -> None:
    st.header(f"Software {one.version}, {WAYS[one.by]}", anchor=False)
    told = [
        ("Pairs", f"{len(one.pairs)}{'' if len(one.pairs) >= _ENOUGH else ', few'}"),
        ("Person's value within the program's U", _share(one.covered)),
        ("Both agree within their combined U", _share(one.agreeing)),
    ]
    if one.limits is not None:
        low, high = one.limits.holding
        told += [
            ("Program less person, mean", format_mm(one.limits.mean)),
            ("Limits of agreement", f"{format_mm(one.limits.lower)} to {format_mm(one.limits.upper)}"),
            ("Shown to hold 95 % of differences", f"{format_mm(low)} to {format_mm(high)}"),
        ]
    show(facts(told))
    plot = one.plot()
    if plot is None:
        note("A difference plot needs three pairs.")
    else:
        words = f"Differences of {len(one.pairs)} pairs over their mean; the numbers stand above."
        show(f'<div class="gw-drawn">{drawing(plot, words)}</div>')


def _share(share: Share) -> str:
    low, high = share.interval
    return f"{share.hits} of {share.of} (95 %: {low:.0%} to {high:.0%})"
