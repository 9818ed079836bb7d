"""An archive with very many settled photos, written straight into its tables: figures for searching need them.

Invented aircraft of an invented operator; one inspection a day and aircraft, three
legs each, a photo of every leg; of a hundred photos 3 are outside, 5 undecided, 8 refused.
"""

import random
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlalchemy import insert, update

from app.archive import Archive
from app.archive.tables import aircraft, inspections, items, legs, tries
from app.archive.tables_find import found_up_to
from app.inspection import Basis, ItemState, Person, TryState
from vision import notes
from vision.results import BudgetLine, Limits, Reading, Refusal, Verdict, to_json

POSITIONS = ("nose", "left main", "right main")
_BEGAN = datetime(2021, 1, 4, 6, 0, tzinfo=UTC)
_AT_ONCE = 5000
LIMITS = Limits(82.55, 95.25, "demo manual")
_BUDGET = tuple(BudgetLine(f"source {k}", 0.05) for k in range(12))
_REMARKS = (notes.EXTENSION_ONLY, notes.RESTING_STATE, notes.FEW_PIXELS)
_EVIDENCE = {"outline_px": [[100.25 + k, 200.5 + k] for k in range(60)]}


def result_of(draw: random.Random) -> dict[str, Any]:
    """A result as large as a real one."""
    chance = draw.random()
    if chance < 0.08:
        return to_json(Refusal("strut_extension", draw.choice((notes.NO_CARD, notes.BLURRED))))
    value, verdict = round(draw.uniform(84, 94), 2), Verdict.WITHIN
    if chance < 0.11:
        value, verdict = round(draw.uniform(97, 105), 2), Verdict.OUTSIDE
    elif chance < 0.16:
        value, verdict = 95.1, Verdict.UNDECIDED
    return to_json(
        Reading("strut_extension", value, "mm", 0.4, _BUDGET, _EVIDENCE, _REMARKS, LIMITS, verdict)
    )


def fill(archive: Archive, people: list[Person], rows: int, fleet: int = 40, seed: int = 3) -> None:
    """Write `rows` settled tries and all that they stand on."""
    draw = random.Random(seed)
    ids = (f"{number:032x}" for number in range(1 << 40, 1 << 60))
    craft = [
        {
            "id": next(ids),
            "registration": f"ZZ-F{number:02d}",
            "kind": "Aster 210",
            "operator": "demo operator",
        }
        for number in range(fleet)
    ]
    stand = [
        {"id": next(ids), "aircraft_id": one["id"], "position": position, "toml": "", "basis": Basis.PRIMARY}
        for one in craft
        for position in POSITIONS
    ]
    with archive.engine.begin() as connection:
        connection.execute(insert(aircraft), craft)
        connection.execute(insert(legs), stand)
    batch: dict[Any, list[dict[str, Any]]] = {inspections: [], items: [], tries: []}
    for number in range(rows):
        if number % len(POSITIONS) == 0:
            visit = number // len(POSITIONS)
            at = _BEGAN + timedelta(days=visit // fleet, minutes=7 * (visit % fleet))
            one = craft[visit % fleet]
            opened = {
                "id": next(ids), "aircraft_id": one["id"], "opened_by": people[0].id, "opened_at": at,
                "closed_at": at + timedelta(hours=2),
            }  # fmt: skip
            batch[inspections].append(opened)
        leg = stand[(visit % fleet) * len(POSITIONS) + number % len(POSITIONS)]
        item = {
            "id": next(ids), "inspection_id": opened["id"], "leg_id": leg["id"], "key": "strut_extension",
            "state": ItemState.CLOSED, "hands_wanted": 0, "hand_round": 0,
        }  # fmt: skip
        batch[items].append(item)
        taken = at + timedelta(minutes=1 + number % len(POSITIONS))
        batch[tries].append(_try(next(ids), item["id"], draw.choice(people).id, taken, number, draw))
        if len(batch[tries]) == _AT_ONCE or number == rows - 1:
            with archive.engine.begin() as connection:
                for table, waiting in batch.items():
                    if waiting:
                        connection.execute(insert(table), waiting)
                        waiting.clear()
    # Rows that no event told of: the search has to look at everything once.
    with archive.engine.begin() as connection:
        connection.execute(update(found_up_to).values(form=0))


def _try(
    id_: str, item_id: str, performer_id: str, taken: datetime, number: int, draw: random.Random
) -> dict[str, Any]:
    return {
        "id": id_,
        "item_id": item_id,
        "performer_id": performer_id,
        "begun_at": taken,
        "statements": ("Stands on its wheels.",),
        "options": {},
        "state": TryState.SETTLED,
        "stage": "",
        "photo": f"{draw.getrandbits(256):064x}",
        "photo_name": f"IMG_{number:06d}.jpg",
        "result": result_of(draw),
        "annotated": None,
        "failure": None,
        "own_hand_mm": None,
        "own_hand_u_mm": None,
        "sent_at": taken + timedelta(seconds=40),
    }
