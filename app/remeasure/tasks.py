"""Which archived photos are measured again, each with leg data and options as they were at its time."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from app.errors import ArchiveError
from app.inspection.exchange import IMPORTED, Bundle, Exchange
from app.inspection.rounds.hose_pair_rules import SECOND_OF

_MEASURED = ("measured", "measuring-failed")


@dataclass(frozen=True)
class Task:
    """One try whose photo is measured again.

    Attributes
    ----------
    begun_at : str
        When the photo's try was begun, UTC.
    leg_toml, options
        As they were when it was measured.
    before : dict or None
        Its result then, as the contract's JSON; None where it could not be measured.
    failure : str or None
        Why it could not be measured then.
    """

    try_id: str
    registration: str
    position: str
    begun_at: str
    photo: str
    leg_toml: str
    options: Mapping[str, Any]
    before: Mapping[str, Any] | None
    failure: str | None


@dataclass
class Skipped:
    """What is not measured again.

    Attributes
    ----------
    deleted : int
        Tries whose photos were deleted by a recorded act.
    faulty : list of (inspection id, sentence)
        Inspections that do not verify.
    seconds : int
        Second photos of hoses, which only say something beside the first one and its flags.
    unreadable : list of (try id, sentence)
        Tries whose photos cannot be read; the next run asks for them again.
    """

    deleted: int = 0
    seconds: int = 0
    faulty: list[tuple[str, str]] = field(default_factory=list)
    unreadable: list[tuple[str, str]] = field(default_factory=list)


def tasks_of(bundle: Bundle, since: datetime, skipped: Skipped) -> Iterator[Task]:
    """Return the measured tries of one inspection that were begun at `since` or later, in time order."""
    rows = bundle.rows
    measured_at = _measured_at(bundle)
    legs = list(_legs_over_time(link.told for link in bundle.context))
    tries = [(id_, row) for (entry, id_), row in rows.items() if entry == "tries"]
    for id_, row in sorted(tries, key=lambda one: (one[1]["begun_at"], one[0])):
        if id_ not in measured_at or datetime.fromisoformat(row["begun_at"]) < since:
            continue
        if SECOND_OF in row["options"]:
            skipped.seconds += 1
            continue
        if row["photo"] in bundle.deleted:
            skipped.deleted += 1
            continue
        leg_id = rows["items", row["item_id"]]["leg_id"]
        leg = rows["legs", leg_id]
        aircraft = rows["aircraft", leg["aircraft_id"]]
        yield Task(
            id_,
            aircraft["registration"],
            leg["position"],
            row["begun_at"],
            row["photo"],
            _as_of(measured_at[id_], [(at, toml) for at, leg_, toml in legs if leg_ == leg_id], leg["toml"]),
            row["options"],
            row.get("result"),
            row.get("failure"),
        )


def tasks(exchange: Exchange, since: datetime, skipped: Skipped) -> Iterator[Task]:
    """Return all tries to be measured again, oldest inspection first."""
    for listed in exchange.listed():
        try:
            bundle = exchange.bundle(listed.inspection_id)
        except ArchiveError as error:
            skipped.faulty.append((listed.inspection_id, str(error)))
        else:
            yield from tasks_of(bundle, since, skipped)


def _measured_at(bundle: Bundle) -> dict[str, str]:
    """Return when each try got its result."""
    found: dict[str, str] = {}
    for link in bundle.events:
        told = link.told
        if told["kind"] in _MEASURED:
            found |= {one["id"]: told["at"] for one in told["data"]["rows"] if one["entry"] == "tries"}
    return found


def _legs_over_time(told: Iterable[Mapping[str, Any]]) -> Iterator[tuple[str, str, str]]:
    """Return (when, which leg, its data) for every time that a leg's data were entered, also elsewhere."""
    for one in told:
        if one["kind"] == IMPORTED:
            yield from _legs_over_time(json.loads(each["body"]) for each in one["data"]["from"]["events"])
            continue
        for row in one["data"].get("rows", ()):
            if row["entry"] == "legs" and "toml" in row["set"]:
                yield one["at"], row["id"], row["set"]["toml"]


def _as_of(at: str, over_time: list[tuple[str, str]], present: str) -> str:
    before = [toml for entered, toml in sorted(over_time) if entered <= at]
    return before[-1] if before else present
