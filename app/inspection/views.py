"""What the use cases hand out to be shown: read-only, gathered from several entries."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from app.inspection.model import (
    Aircraft,
    BlindReading,
    Confirmation,
    Discrepancy,
    HandReading,
    Inspection,
    Item,
    LegEntry,
    Outcome,
    Person,
    Try,
)


@dataclass(frozen=True)
class Place:
    """Where an item is: its inspection, aircraft and leg."""

    item: Item
    inspection: Inspection
    aircraft: Aircraft
    leg: LegEntry


@dataclass(frozen=True)
class Waiting:
    """One try in the queue.  Nothing of its result is in here."""

    try_id: str
    place: Place
    performer: Person
    sent_at: datetime


@dataclass(frozen=True)
class Bare:
    """All that an inspector is given before he has placed his own points.

    `mine` is his blind reading once he has placed it.
    """

    try_id: str
    photo: str
    place: Place
    performer: Person
    statements: tuple[str, ...]
    mine: BlindReading | None = None


@dataclass(frozen=True)
class Hand:
    """A hand measurement that stands beside a photo reading, whoever took it and however it was entered."""

    person_id: str
    value_mm: float
    expanded_u_mm: float
    instrument: str
    at: datetime


@dataclass(frozen=True)
class Comparison:
    """All readings of a try side by side.

    Attributes
    ----------
    try_ : Try
        With the machine's result.
    blind : BlindReading or None
        The asking inspector's, or that of the confirmation once there is one.
    hands : tuple of Hand
        In time order, the performer's own and all others on the item.
    earlier : tuple of Try
        The other tries at this item so far, in time order.
    agrees, difference_mm, combined_u_mm, outcome
        What follows from the readings; None without a blind reading.
    record_hash : str or None
        What a signature on this comparison binds to: hand it to `confirm` as `seen`.
    """

    try_: Try
    place: Place
    performer: Person
    blind: BlindReading | None
    hands: tuple[Hand, ...]
    earlier: tuple[Try, ...]
    agrees: bool | None = None
    difference_mm: float | None = None
    combined_u_mm: float | None = None
    outcome: Outcome | None = None
    confirmation: Confirmation | None = None
    record: dict[str, Any] = field(default_factory=dict)
    record_hash: str | None = None


Entry = Try | BlindReading | HandReading | Confirmation | Discrepancy


@dataclass(frozen=True)
class Story:
    """Everything on one item.

    Attributes
    ----------
    entries : tuple of (datetime, Entry)
        In time order; a try stands at the time it was begun.
    withheld : bool
        Something is left out because the person may yet have to read the photo
        without knowing it: tries then come without result, annotated copy and own
        hand reading, and others' readings do not come at all.
    """

    place: Place
    entries: tuple[tuple[datetime, Entry], ...]
    withheld: bool = False


@dataclass(frozen=True)
class ArchiveFilter:
    """Which items the archive is asked for; what is None does not matter."""

    registration: str | None = None
    position: str | None = None
    since: datetime | None = None
    until: datetime | None = None


@dataclass(frozen=True)
class ArchiveRow:
    """One settled try or hand-settled item in the archive, newest first.

    `confirmation` is None where a refusal was sent and for an item that was
    settled by hand alone, where `try_` is None too.
    """

    place: Place
    settled_at: datetime
    try_: Try | None
    confirmation: Confirmation | None
    hands: tuple[HandReading, ...]
