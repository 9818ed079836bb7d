"""The rules with the real measuring: a demo photo from the phone's bytes to the signature."""

import json
from pathlib import Path
from typing import Any

import pytest

from app.inspection import Basis, Inspections, ItemState, LegEntry, Outcome, Try, TryState
from app.measuring.job import Asked, work
from app.measuring.worker import Worker
from tests.app.records_house import PASSWORD, STATED, House

DEMO = Path(__file__).resolve().parents[3] / "demo_images"


@pytest.fixture
def real(house: House) -> House:
    """The house with the real measurer, whose geometry needs no process, and the demo's right main leg."""
    house.inspections = Inspections(
        house.archive.records, house.archive.photos, house.clock, Worker(), house.people
    )
    return house


def leg(house: House, name: str) -> LegEntry:
    """A demo leg, entered for an aircraft of its own, since the house has legs at these positions."""
    toml = (DEMO / "legs" / f"{name}.toml").read_text(encoding="utf-8").replace('"ZZ-GWT"', '"ZZ-GWU"')
    new = house.inspections.enter_aircraft("ZZ-GWU", "Aster 210", "demo operator")
    return house.inspections.enter_leg(new.id, name.replace("_", " "), toml, Basis.PRIMARY)


def measured(house: House, chosen: LegEntry, photo: Path) -> Try:
    begun = house.inspections.begin_try(house.mechanic, chosen.id, STATED)
    house.inspections.photo_arrived(house.mechanic, begun.id, photo.read_bytes(), photo.name)
    asked = Asked(*house.inspections.task(begun.id))
    return house.inspections.measured(begun.id, work(asked, lambda stage: None))


def truth(photo: Path) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(photo.with_suffix(".truth.json").read_text(encoding="utf-8"))
    return found


@pytest.mark.parametrize(
    ("off_px", "outcome"),
    [(0, Outcome.WITHIN_CLOSED), (12, Outcome.HAND_WANTED)],
    ids=["true ends", "a mark off"],
)
def test_who_places_the_true_ends_agrees_and_who_is_far_off_does_not(
    real: House, off_px: float, outcome: Outcome
) -> None:
    photo = DEMO / "reads_within" / "nose_from_above.jpg"
    found = measured(real, leg(real, "nose"), photo)
    assert found.state is TryState.READ
    real.inspections.send(real.mechanic, found.id)
    ends = truth(photo)
    x, y = ends["to_px"]
    real.inspections.place(real.inspector, found.id, tuple(ends["from_px"]), (x, y + off_px))
    shown = real.inspections.comparison(real.inspector, found.id)
    signed = real.inspections.confirm(real.inspector, found.id, PASSWORD, shown.record_hash or "")
    assert (signed.outcome, signed.agrees) == (outcome, off_px == 0)


def test_the_photo_of_another_leg_is_refused_by_its_tag_and_stays_on_the_item(real: House) -> None:
    photo = DEMO / "refuses" / "other_leg.jpg"
    found = measured(real, leg(real, "left_main"), photo)
    assert (found.state, (found.result or {})["cause"]) == (TryState.REFUSED, "wrong-leg")
    real.inspections.send(real.mechanic, found.id)
    story = real.inspections.item_story(real.inspector, found.item_id)
    assert [one.id for _, one in story.entries] == [found.id]
    assert real.item(found.item_id).state is ItemState.HAND_WANTED
    assert real.archive.photos.get(found.photo or "") == photo.read_bytes()
