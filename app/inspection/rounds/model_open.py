"""What stands open, what was counted out, and the handover of both (see `model`)."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class OpenedKind(StrEnum):
    """What can stand open on a gear."""

    STRUT_DISCHARGED = "strut_discharged"
    NUT_UNPINNED = "nut_unpinned"
    LINE_OPEN = "line_open"
    CAP_OFF = "cap_off"
    PANEL_OFF = "panel_off"
    DISCONNECTED = "disconnected"
    OTHER = "other"


@dataclass(frozen=True)
class Opened:
    """Something that was opened and has to be closed again."""

    id: str
    inspection_id: str
    leg_id: str
    kind: OpenedKind
    place: str
    by: str
    at: datetime
    closed_by: str | None = None
    closed_at: datetime | None = None


class OutKind(StrEnum):
    """What is counted out to the aircraft and in again."""

    CARD = "card"
    PHONE = "phone"
    PIN = "pin"
    TOOL = "tool"


@dataclass(frozen=True)
class Out:
    """Things taken to the aircraft: how many went out, how many have come back."""

    id: str
    inspection_id: str
    kind: OutKind
    name: str
    quantity: int
    by: str
    at: datetime
    back: int = 0
    back_by: str | None = None
    back_at: datetime | None = None


@dataclass(frozen=True)
class Handover:
    """The list of what is open, signed by who gives the work over and by who takes it."""

    id: str
    inspection_id: str
    giver_id: str
    taker_id: str
    listed_hash: str
    given_signature_id: str
    given_at: datetime
    taken_signature_id: str | None = None
    taken_at: datetime | None = None
