"""Everything on one item in time order: every try, every reading, every signature, what is wrong."""

from datetime import datetime

import streamlit as st

from app.inspection import (
    STRUT_EXTENSION,
    Basis,
    BlindReading,
    Confirmation,
    Discrepancy,
    HandReading,
    ItemState,
    Place,
    Story,
    Try,
    TryState,
)
from app.inspection.history import History
from app.inspection.rounds.hose_pair_rules import SECOND_OF
from app.inspection.rounds.tire_camera import CAMERA, camera_words
from app.inspection.views import Entry
from app.record.search_words import is_searched, lines
from app.record.tire_words import results_of
from app.record.try_part import region_words, taps_words
from app.screens.here import Here
from app.screens.parts.contract import result_of
from app.screens.parts.markup import facts, show, text
from app.screens.parts.numbers import both_units, in_mm
from app.screens.parts.pictures import annotated_html, original_html
from app.screens.parts.reading import reading_html, refusal_html
from app.screens.parts.tire_results import tire_html
from app.screens.parts.words import ITEM_STATES, OUTCOMES, TRY_STATES, item_words, short, when
from vision.results import Reading
from vision.units import format_mm


def step(here: Here, item_id: str) -> None:
    """Draw the item's story."""
    story = here.inspections.item_story(here.person, item_id)
    place = story.place
    here.head(("Aircraft", place.aircraft.registration), ("Leg", place.leg.position))
    st.title(item_words(place.item.key), anchor=False)
    _where(here, place)
    withdrawn = History(here.house.archive.records).withdrawn().get(item_id)
    if withdrawn is not None:
        show(f'<p class="gw-beside">The reading was withdrawn after the sign-off: {text(withdrawn)}</p>')
    if story.withheld:
        show(
            '<p class="gw-beside">You may yet have to read this photo without knowing its value: results and '
            "other people's readings are left out until you have placed yours.</p>"
        )
    for at, entry in story.entries:
        _entry(here, story, at, entry)
    here.link("archive", "To the archive")


def _where(here: Here, place: Place) -> None:
    opened = place.inspection
    show(
        facts(
            [
                ("State", ITEM_STATES[place.item.state]),
                ("Inspection opened", f"{when(opened.opened_at)}, {here.name_of(opened.opened_by)}"),
                ("Leg's photo readings", place.leg.basis.value),
            ]
        )
    )
    if place.item.state is ItemState.HAND_WANTED:
        here.link("hand", "Measure by hand", item=place.item.id)


def _entry(here: Here, story: Story, at: datetime, entry: Entry) -> None:
    if isinstance(entry, Try):
        _try(here, story, entry)
    elif isinstance(entry, BlindReading):
        value = both_units(entry.value_mm, entry.expanded_u_mm)
        _line(at, "Read on the bare photo", here.name_of(entry.person_id), value, [])
    elif isinstance(entry, HandReading):
        value = both_units(entry.value_mm, entry.expanded_u_mm)
        _line(at, "Measured by hand", here.name_of(entry.person_id), value, [("With", entry.instrument)])
    elif isinstance(entry, Confirmation):
        _confirmation(here, entry)
    elif isinstance(entry, Discrepancy):
        what = [("Place", entry.place), ("State", entry.state.value)]
        _line(at, "Discrepancy opened", here.name_of(entry.opened_by), entry.text, what)


def _line(at: datetime, what: str, who: str, told: str, more: list[tuple[str, str]]) -> None:
    show(
        f'<article class="gw-entry"><h2>{text(what)}</h2><small>{text(when(at))} · {text(who)}</small>'
        f"<p>{text(told)}</p>{facts(more) if more else ''}</article>"
    )


def _confirmation(here: Here, signed: Confirmation) -> None:
    word = "agree" if signed.agrees else "disagree"
    told = (
        f"The readings {word}: placed minus program {format_mm(signed.difference_mm)}, combined U "
        f"{format_mm(signed.combined_u_mm)}. {OUTCOMES[signed.outcome]}"
    )
    hashes = [("Record", f"{short(signed.signed_hash)}…"), ("In the chain", f"{short(signed.event_hash)}…")]
    _line(signed.signed_at, "Signed", here.name_of(signed.confirmer_id), told, hashes)


def _try(here: Here, story: Story, work: Try) -> None:
    _line(
        work.begun_at,
        "Photo",
        here.name_of(work.performer_id),
        TRY_STATES[work.state],
        _told(work),
    )
    stated = "".join(f"<li>{text(line)}</li>" for line in work.statements)
    show(f'<div class="gw-entry gw-stated"><b>Stated</b><ul>{stated}</ul></div>')
    left, right = st.columns([6, 5], gap="large")
    with left:
        if is_searched(work.result):
            show(f"<ul>{''.join(f'<li>{text(line)}</li>' for line in lines(work.result))}</ul>")
        elif results_of(work.result):
            show(tire_html(work.result or {}))
        elif work.result is not None:
            result = result_of(work.result)
            if isinstance(result, Reading):
                show(reading_html(result, supporting=story.place.leg.basis is Basis.SUPPORTING))
            else:
                show(refusal_html(result))
        elif work.failure:
            show(f'<p class="gw-advice">{text(work.failure)}</p>')
        if work.photo is not None:
            show(original_html(work.photo, here.photo_size(work.photo), "The photo as it was taken"))
    with right:
        if work.annotated is not None:
            show(annotated_html(work.annotated, "Annotated copy of the photo"))
    is_strut = story.place.item.key == STRUT_EXTENSION
    if (
        is_strut
        and work.state is TryState.SENT
        and here.person.is_inspector
        and work.performer_id != here.person.id
    ):
        here.link("confirm", "Read this photo", **{"try": work.id})


_TOLD_APART = ("taps", "region", SECOND_OF, CAMERA)


def _told(work: Try) -> list[tuple[str, str]]:
    told = [
        (name.replace("_", " "), str(value))
        for name, value in work.options.items()
        if name not in _TOLD_APART
    ]
    if work.options.get("taps"):
        told.append(("hoses shown on it", taps_words(work.options["taps"])))
    if work.options.get("region"):
        told.append(("region shown on it", region_words(work.options["region"])))
    if work.options.get(CAMERA):
        told.append(("calibrated camera", camera_words(work.options[CAMERA])))
    if work.own_hand_mm is not None and work.own_hand_u_mm is not None:
        told.append(("Own rule reading first", in_mm(work.own_hand_mm, work.own_hand_u_mm)))
    if work.photo is not None:
        told += [("File", work.photo_name or "without a name"), ("SHA-256", f"{short(work.photo)}…")]
    if work.sent_at is not None:
        told.append(("Sent", when(work.sent_at)))
    return told
