"""Finding settled work: aircraft, leg, item, days, person, verdict, grade, words; a page at a time.

All that is asked for stands in the address (``/find?aircraft=…&verdict=outside``), so a
search can be kept and sent on; a page further back has its place there too (``after``).
"""

from datetime import UTC, date, datetime, time, timedelta

import streamlit as st

from app.inspection.finding import FindFilter, FoundKind, FoundRow, FoundVerdict, Mark
from app.inspection.history import History
from app.screens.here import Here
from app.screens.parts.markup import complaint, show, text
from app.screens.parts.numbers import both_units
from app.screens.parts.reading import beside_within
from app.screens.parts.verdict import MARKS, NO_VALUE, mark_html
from app.screens.parts.verdict import Mark as Shape
from app.screens.parts.withdrawn import struck
from app.screens.parts.words import item_words, when
from vision.results import Verdict
from vision.units import format_reading

VERDICTS: dict[FoundVerdict, str] = {
    FoundVerdict.OUTSIDE: "Outside limits",
    FoundVerdict.UNDECIDED: "Undecided",
    FoundVerdict.WITHIN: "Within limits",
    FoundVerdict.REFUSED: "No value",
    FoundVerdict.NONE: "Not judged, or by hand",
}
GRADES = ("1", "2", "3")
_MORE = ("since", "until", "who", "verdict", "what", "grade")


def page(here: Here) -> None:
    """Draw the question and a page of answers."""
    here.head(("Sheet", "Find"))
    st.title("Find in the archive", anchor=False)
    asked = _asked(here)
    after = st.query_params.get("after")
    found = here.house.archive.finds.page(asked, None if not after else Mark.read(after))
    if not found.rows:
        st.write("Nothing settled that this asks for.")
    withdrawn = History(here.house.archive.records).withdrawn()
    for row in found.rows:
        _row(here, row, withdrawn.get(row.item_id))
    with st.container(horizontal=True, gap="medium"):
        # What is asked for is bound to the address by its fields; only the place in the list changes.
        if after:
            st.button("First page", type="tertiary", on_click=_begin_again)
        if found.older is not None:
            st.button("Older", type="tertiary", on_click=_turn, args=(str(found.older),))
    here.link("agreement", "People and program compared")


def _asked(here: Here) -> FindFilter:
    """Draw the fields, and return what stands in them."""
    craft = here.inspections.aircraft()
    positions = sorted({leg.position for one in craft for leg in here.inspections.legs(one.id)})
    people = {one.name: one.id for one in sorted(here.house.people.everyone(), key=lambda one: one.name)}
    verdicts = {words: verdict for verdict, words in VERDICTS.items()}
    items = {item_words(key): key for key in here.house.archive.finds.items()}
    first, second, third = st.columns(3)
    with first:
        registration = _choice("Aircraft", "aircraft", [one.registration for one in craft])
    with second:
        position = _choice("Leg", "leg", positions)
    with third:
        words = _words("Words in it", "words", "file name, remark, beginning of a hash")
    # On a phone nine fields would push every answer off the screen.
    with st.expander("Item, days, people, verdict, grade", expanded=_any_asked(_MORE)):
        first, second, third = st.columns(3)
        with first:
            since = _words("Since", "since", "2026-03-01")
            who = _choice("Who took part", "who", list(people))
        with second:
            until = _words("Until, this day too", "until", "2026-03-31")
            verdict = _choice("Verdict", "verdict", list(verdicts))
        with third:
            item = _choice("Item", "what", list(items))
            grade = _choice("Grade of a flag", "grade", list(GRADES))
    last = _day(until)
    return FindFilter(
        registration,
        position,
        None if item is None else items[item],
        _day(since),
        None if last is None else last + timedelta(days=1),
        None if who is None else people[who],
        None if verdict is None else verdicts[verdict],
        grade,
        words,
    )


def _any_asked(names: tuple[str, ...]) -> bool:
    return any(st.query_params.get(name) for name in names)


def _choice(label: str, key: str, options: list[str]) -> str | None:
    return st.selectbox(
        label, options, index=None, placeholder="All", key=key, bind="query-params", on_change=_begin_again
    )


def _words(label: str, key: str, example: str) -> str:
    return st.text_input(label, placeholder=example, key=key, bind="query-params", on_change=_begin_again)


def _begin_again() -> None:
    """Another question begins at its first page."""
    st.query_params.pop("after", None)


def _turn(after: str) -> None:
    st.query_params["after"] = after


def _day(typed: str) -> datetime | None:
    if not typed.strip():
        return None
    try:
        return datetime.combine(date.fromisoformat(typed.strip()), time(), UTC)
    except ValueError:
        complaint(f"{typed.strip()} is no date: write year, month and day, e.g. 2026-03-01")
        return None


def _row(here: Here, row: FoundRow, withdrawn: str | None) -> None:
    words, action = st.columns([5, 1], vertical_alignment="center")
    with words:
        show(
            f'<div class="gw-row gw-found">{_thumb(row)}<div>'
            f"<b>{text(row.position.capitalize())} · {text(row.registration)}</b>"
            f"<span>{text(item_words(row.key))}</span>{_value(row, withdrawn)}"
            f"<small>{text(_people(row))}</small></div></div>"
        )
    with action, st.container(horizontal=True, gap="small"):
        here.link("archive", "Story", key=f"story-{row.id}", item=row.item_id)
        if row.unit in (None, "mm"):  # the chart is one of lengths
            here.link("trend", "Trend", key=f"trend-{row.id}", leg=row.leg_id, what=row.key)


def _thumb(row: FoundRow) -> str:
    if row.photo is None:
        return '<div class="gw-thumb"></div>'
    alternative = f"Photo of the {row.position} leg, {row.at.date().isoformat()}"
    return (
        f'<div class="gw-thumb"><img src="/photos/{text(row.photo)}/thumb" alt="{text(alternative)}" '
        'loading="lazy"></div>'
    )


def _value(row: FoundRow, withdrawn: str | None) -> str:
    shown = ""
    if row.value is not None and row.expanded_u is not None:
        shown = (
            both_units(row.value, row.expanded_u)
            if row.unit == "mm"
            else format_reading(row.value, row.expanded_u, row.unit or "1")
        )
    if withdrawn is not None:
        return struck(shown, withdrawn)
    value = f"<span>{text(shown)}</span>" if shown else ""
    if row.kind is FoundKind.HAND:
        return value
    within = row.verdict is FoundVerdict.WITHIN
    beside = f"<small>{text(beside_within(row.key))}</small>" if within else ""
    return value + mark_html(_shape(row.verdict), size="small") + beside


def _shape(verdict: FoundVerdict) -> Shape:
    if verdict is FoundVerdict.REFUSED:
        return NO_VALUE
    return MARKS[None if verdict is FoundVerdict.NONE else Verdict(verdict.value)]


def _people(row: FoundRow) -> str:
    did = "photographed" if row.kind is FoundKind.PHOTO else "measured by hand"
    second = "" if row.second is None else f", confirmed by {row.second}"
    return f"{when(row.at)} · {did} by {row.person}{second}"
