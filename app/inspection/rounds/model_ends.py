"""Discrepancies to their end, steps, photos that show something, the sign-off (see `model`)."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum


class ActionKind(StrEnum):
    """What was done about a discrepancy."""

    ADJUSTED = "adjusted"
    SERVICED = "serviced"
    REPAIRED = "repaired"
    REPLACED = "replaced"
    NDI_CLEARED = "ndi_cleared"
    ENTERED_IN_ERROR = "entered_in_error"


@dataclass(frozen=True)
class Action:
    """What was done about a discrepancy, signed; its re-inspection is an item.

    Attributes
    ----------
    data_reference : str
        The approved data by which it was done.
    removed : tuple of dict
        Parts taken out: ``part``, ``serial``, ``position``, ``reason``, ``tag``.
    fitted : tuple of dict
        Parts put in: ``part``, ``serial``, ``release``, ``batch``, ``life``.
    """

    id: str
    discrepancy_id: str
    inspection_id: str
    kind: ActionKind
    text: str
    data_reference: str
    removed: tuple[dict[str, str], ...]
    fitted: tuple[dict[str, str], ...]
    person_id: str
    reinspection_id: str
    signature_id: str
    at: datetime


@dataclass(frozen=True)
class Deferral:
    """A discrepancy carried on until a day or a number of landings, authorised by a signature."""

    id: str
    discrepancy_id: str
    inspection_id: str
    reference: str
    category: str
    due_on: date | None
    due_landings: int | None
    placard: str
    asked_by: str
    authoriser_id: str
    signature_id: str
    at: datetime


class SequenceKind(StrEnum):
    """Work whose steps have an order, where one tick would lie."""

    LEAK = "leak"
    CRACK = "crack"
    SERVICING = "servicing"


@dataclass(frozen=True)
class Sequence:
    """One such work on an item; a leak's or a crack's belongs to its discrepancy."""

    id: str
    kind: SequenceKind
    inspection_id: str
    item_id: str
    discrepancy_id: str | None
    by: str
    at: datetime


@dataclass(frozen=True)
class Step:
    """One step done, with what was told of it and its photo."""

    id: str
    sequence_id: str
    number: int
    key: str
    told: dict[str, str]
    evidence_id: str | None
    person_id: str
    at: datetime


@dataclass(frozen=True)
class Evidence:
    """A photo that shows something and is not measured; its id is the draft's."""

    id: str
    item_id: str
    person_id: str
    place: str
    begun_at: datetime
    photo: str | None = None
    photo_name: str = ""


@dataclass(frozen=True)
class SignOff:
    """The inspection signed off as a work record, with the aircraft's times."""

    id: str
    inspection_id: str
    person_id: str
    total_time_h: float
    cycles: int
    landings: int
    signature_id: str
    at: datetime


@dataclass(frozen=True)
class CorrectedTimes:
    """The aircraft's times of a signed visit, put right; `supersedes` is the correction before, if any."""

    id: str
    inspection_id: str
    person_id: str
    total_time_h: float
    cycles: int
    landings: int
    supersedes: str | None
    reason: str
    signature_id: str
    at: datetime


@dataclass(frozen=True)
class Withdrawal:
    """A reading by photo or hand that does not stand on a signed visit, and the discrepancy in its place."""

    id: str
    item_id: str
    person_id: str
    reason: str
    discrepancy_id: str
    signature_id: str
    at: datetime
