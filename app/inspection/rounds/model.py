"""What a whole inspection consists of beside its photo readings, as frozen values.

Conventions as in `app.inspection.model`: ids are UUIDs in hex, datetimes aware
UTC, days dates without a zone.  A reading is plain JSON in base units
(`quantities`): kPa, N, mm, deg, N m, °C, ohm.  The names and values here are
stored for years: add, never rename.

Answers, looks and signatures stand here, the rest in `model_kept`, `model_people`,
`model_ends`, `model_judged` and `model_open`; all are imported from here.
"""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any

from app.inspection.rounds.model_ends import (
    Action,
    ActionKind,
    CorrectedTimes,
    Deferral,
    Evidence,
    Sequence,
    SequenceKind,
    SignOff,
    Step,
    Withdrawal,
)
from app.inspection.rounds.model_found import Finding
from app.inspection.rounds.model_judged import (
    BareMarking,
    HandEntry,
    HandKind,
    Judged,
    Judging,
    PlaceOpened,
)
from app.inspection.rounds.model_kept import (
    OPENING,
    CardCopy,
    Chart,
    Following,
    Instrument,
    LegChange,
    LegFeatures,
    ProgrammeEntry,
    Round,
    Stated,
)
from app.inspection.rounds.model_open import (
    Handover,
    Opened,
    OpenedKind,
    Out,
    OutKind,
)
from app.inspection.rounds.model_people import (
    ALL_CLASSES,
    Authorisation,
    Certificate,
    PasswordReset,
)

__all__ = [
    "ALL_CLASSES",
    "OPENING",
    "Action",
    "ActionKind",
    "Answer",
    "Authorisation",
    "BareMarking",
    "CardCopy",
    "Certificate",
    "Chart",
    "CorrectedTimes",
    "Deferral",
    "Evidence",
    "Finding",
    "Following",
    "HandEntry",
    "HandKind",
    "Handover",
    "Instrument",
    "Judged",
    "Judging",
    "LegChange",
    "LegFeatures",
    "Look",
    "LookOutcome",
    "Meaning",
    "Opened",
    "OpenedKind",
    "Out",
    "OutKind",
    "PasswordReset",
    "PlaceOpened",
    "ProgrammeEntry",
    "Round",
    "Sequence",
    "SequenceKind",
    "SignOff",
    "Signature",
    "Stated",
    "Step",
    "Withdrawal",
]


@dataclass(frozen=True)
class Answer:
    """What a person answers for an item.

    Attributes
    ----------
    stated_id : str
        The condition that was stated when it was given.
    reading : dict or None
        What was read or counted, with its limits and instrument, in base units.
    supervisor_id : str or None
        Who supervised, where a trainee answers.
    supersedes, reason : str or None
        The answer that this one corrects, which stays, and why.
    signature_id, supervisor_signature_id : str or None
        The signatures that cover it; None until it is signed.
    """

    id: str
    inspection_id: str
    item_id: str
    person_id: str
    stated_id: str
    finding: Finding
    text: str
    reading: dict[str, Any] | None
    instrument_id: str | None
    supervisor_id: str | None
    supersedes: str | None
    reason: str | None
    signature_id: str | None
    supervisor_signature_id: str | None
    at: datetime


class LookOutcome(StrEnum):
    """What a second look does to its item."""

    CLOSED = "closed"
    DISCREPANCY = "discrepancy"
    ANEW = "anew"


@dataclass(frozen=True)
class Look:
    """A second person's own answer to an item, given before the first one's was shown.

    `outcome` and `signature_id` are None until he has signed.
    """

    id: str
    inspection_id: str
    answer_id: str
    performer_id: str
    person_id: str
    finding: Finding
    text: str
    reading: dict[str, Any] | None
    instrument_id: str | None
    seen_from: str
    outcome: LookOutcome | None
    signature_id: str | None
    at: datetime


class Meaning(StrEnum):
    """What a signature says."""

    PERFORMED = "performed"
    SUPERVISED = "supervised"
    SECOND_LOOK = "second_look"
    ACTION = "action"
    DEFERRAL = "deferral"
    HANDED_OVER = "handed_over"
    TAKEN_OVER = "taken_over"
    NDI_RESULT = "ndi_result"
    SIGN_OFF = "sign_off"
    CORRECTED = "corrected"
    TIMES_CORRECTED = "times_corrected"
    WITHDRAWN = "withdrawn"


@dataclass(frozen=True)
class Signature:
    """A person's signature on a record, whose canonical bytes the event with `event_hash` holds.

    `certificate` is kind and number as they stood then, empty where there is none.
    """

    id: str
    inspection_id: str
    person_id: str
    meaning: Meaning
    certificate: str
    signed_hash: str
    event_hash: str
    at: datetime
