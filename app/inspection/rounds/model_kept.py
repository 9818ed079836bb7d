"""What a shop keeps and a visit follows: programmes, conditions, instruments, cards (see `model`)."""

from dataclasses import dataclass
from datetime import date, datetime

from app.inspection.model import Basis

OPENING = "opening"
"""What is stated before the first photo of a visit; the other statements are the conditions'."""


@dataclass(frozen=True)
class ProgrammeEntry:
    """A programme's file as it was entered; `version` is the hash of its content."""

    id: str
    version: str
    name: str
    revision: str
    toml: str
    entered_by: str | None
    entered_at: datetime


@dataclass(frozen=True)
class Following:
    """From when on an aircraft's visits follow a programme; the newest counts for the next visit."""

    id: str
    aircraft_id: str
    programme_id: str
    by: str | None
    at: datetime


@dataclass(frozen=True)
class LegFeatures:
    """The answers to a programme's questions about a leg; the newest count for the next visit."""

    id: str
    leg_id: str
    answers: dict[str, str]
    by: str | None
    at: datetime


@dataclass(frozen=True)
class Round:
    """What a visit follows, frozen when it was opened; its id is the inspection's.

    `features` are the answers by leg and feature, as the items were chosen by them.
    """

    id: str
    programme_id: str
    features: dict[str, dict[str, str]]


@dataclass(frozen=True)
class LegChange:
    """A change of a leg's data by two people: one proposes, another approves; what was before is kept.

    `study` names the paired hand/photo study that lets photo readings stand by
    themselves, where `basis_after` says so.
    """

    id: str
    leg_id: str
    toml_before: str
    toml_after: str
    basis_before: Basis
    basis_after: Basis
    study: str
    reason: str
    proposed_by: str
    proposed_at: datetime
    approved_by: str | None = None
    approved_at: datetime | None = None


@dataclass(frozen=True)
class Stated:
    """A person's statements: the opening card, or the condition in which the aircraft now is.

    Attributes
    ----------
    what : str
        ``"opening"`` or the condition's key.
    statements : tuple of [key, text, recorded]
        Each statement's words as they were shown, and what was written down with it.
    """

    id: str
    inspection_id: str
    what: str
    statements: tuple[list[str], ...]
    by: str
    at: datetime


@dataclass(frozen=True)
class Instrument:
    """A gauge with its number: what it reads, in which doubt, until when.

    Attributes
    ----------
    expanded_u : float, > 0
        Half-width of the 95 % interval of its readings, in the quantity's base unit.
    due : date
        The last day on which it may be used.
    withdrawn : str
        Why it is not to be used, empty while it may be.
    """

    id: str
    kind: str
    number: str
    quantity: str
    expanded_u: float
    due: date
    by: str
    at: datetime
    withdrawn: str = ""


@dataclass(frozen=True)
class Chart:
    """A table typed from a document: of an aircraft (tension limits) or of an instrument (its risers).

    Attributes
    ----------
    rows : tuple of lists
        Tension limits: [temperature °C, lower N, upper N]; a riser's: [scale, tension N];
        rising in the first.
    document : str
        Document and revision.
    """

    id: str
    aircraft_id: str | None
    instrument_id: str | None
    name: str
    rows: tuple[list[float], ...]
    document: str
    by: str
    at: datetime


@dataclass(frozen=True)
class CardCopy:
    """One printed scale card: its copy number, its check bars as measured, until when.

    `damage` says why it is not to be used, empty while it may be.
    """

    id: str
    name: str
    number: str
    bars_mm: tuple[float, ...]
    rule: str
    due: date
    by: str
    at: datetime
    damage: str = ""
