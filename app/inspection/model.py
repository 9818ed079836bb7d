"""What an inspection consists of, as frozen values.

Ids are UUIDs in hex, datetimes aware and in UTC, lengths mm, `expanded_u_mm`
the half-width of the 95 % interval, pixels those of the upright photo.  Photos
are named by the SHA-256 of their bytes in hex.  What changes is replaced by a
changed copy; every change is one event (`app.inspection.ports.Work.enter`).

The names and values here are stored for years: add, never rename.
"""

from dataclasses import dataclass, field
from datetime import datetime
from enum import StrEnum
from typing import Any, NamedTuple

STRUT_EXTENSION = "strut_extension"
"""The key of the one item there is so far; it is also the result's `name`."""

Pixel = tuple[float, float]


class Role(StrEnum):
    """What a person may do.

    An administrator enters people, instruments and programmes, has no other role
    and signs nothing.
    """

    MECHANIC = "mechanic"
    INSPECTOR = "inspector"
    AUTHORISED_SIGNATORY = "authorised_signatory"
    REQUIRED_INSPECTION = "required_inspection"
    NDI_TECHNICIAN = "ndi_technician"
    TRAINEE = "trainee"
    ADMINISTRATOR = "administrator"


@dataclass(frozen=True)
class Person:
    """Somebody who acts: performs, confirms, measures by hand."""

    id: str
    name: str
    roles: frozenset[Role]

    @property
    def is_inspector(self) -> bool:
        """Whether this person may confirm the work of others."""
        return Role.INSPECTOR in self.roles

    @property
    def is_mechanic(self) -> bool:
        """Whether this person may photograph and measure."""
        return Role.MECHANIC in self.roles

    @property
    def is_administrator(self) -> bool:
        """Whether this person keeps the lists, and so signs nothing."""
        return Role.ADMINISTRATOR in self.roles

    @property
    def is_worker(self) -> bool:
        """Whether this person may answer for work by himself: a trainee and an administrator may not."""
        return bool(self.roles - {Role.TRAINEE, Role.ADMINISTRATOR})


class Basis(StrEnum):
    """What a photo reading of a leg may stand on.

    SUPPORTING: only beside a hand measurement.  PRIMARY: a stored and approved
    paired hand/photo study of this leg type lets it stand by itself.
    """

    SUPPORTING = "supporting"
    PRIMARY = "primary"


@dataclass(frozen=True)
class Aircraft:
    """One aircraft."""

    id: str
    registration: str
    kind: str
    operator: str


@dataclass(frozen=True)
class LegEntry:
    """One leg of one aircraft: its position and its LEG.toml as it was entered."""

    id: str
    aircraft_id: str
    position: str
    toml: str
    basis: Basis


@dataclass(frozen=True)
class Inspection:
    """One visit to one aircraft; open until `closed_at`."""

    id: str
    aircraft_id: str
    opened_by: str
    opened_at: datetime
    closed_at: datetime | None = None


class ItemState(StrEnum):
    """Where an item stands.

    TO_DO, WAITING (sent, waits for confirmation), HAND_WANTED (waits for hand
    measurements by `Item.hands_wanted` people), DISCREPANCY, CLOSED.
    """

    TO_DO = "to_do"
    WAITING = "waiting"
    HAND_WANTED = "hand_wanted"
    DISCREPANCY = "discrepancy"
    CLOSED = "closed"


@dataclass(frozen=True)
class Item:
    """One thing to inspect on one leg in one inspection.

    Attributes
    ----------
    key : str
        What is inspected, e.g. ``"strut_extension"``.
    hands_wanted : int
        In state HAND_WANTED, how many people have to measure by hand: 1 beside a
        supporting leg's photo reading, 2 where the photo reading does not stand.
    hand_round : int
        Counts how often hand measurements were asked for; only those of the
        present round settle the item.
    """

    id: str
    inspection_id: str
    leg_id: str
    key: str
    state: ItemState
    hands_wanted: int = 0
    hand_round: int = 0


class TryState(StrEnum):
    """Where one try at a photo stands.

    AWAITING_PHOTO → STORED → MEASURING → READ | REFUSED | FAILED (no measurement
    could be made of these bytes), READ → SENT → SETTLED (confirmed or set aside by
    a person); a refusal that is sent is SETTLED at once.
    """

    AWAITING_PHOTO = "awaiting_photo"
    STORED = "stored"
    MEASURING = "measuring"
    READ = "read"
    REFUSED = "refused"
    FAILED = "failed"
    SENT = "sent"
    SETTLED = "settled"


@dataclass(frozen=True)
class Try:
    """One try at a photo of an item.  Its id is the draft's id; every try stays on its item.

    Attributes
    ----------
    statements : tuple of str
        The condition of the aircraft as the performer stated it.
    options : dict
        What was told beside the photo: `check_bar_mm`, `stand_off_mm`,
        `stand_off_u_mm`, `pressure_kpa`, `pressure_u_kpa`, each optional.
    photo, photo_name : str or None, str
        SHA-256 of the original's bytes; the file's name on the phone.
    stage : str
        How far the measuring is, in words; progress only, not part of the record.
    result : dict or None
        The contract's JSON of the result (`vision.results.to_json`).
    annotated : str or None
        SHA-256 of the annotated copy's bytes.
    failure : str or None
        Why no measurement could be made (state FAILED).
    own_hand_mm, own_hand_u_mm : float or None, mm
        The performer's own rule reading and its expanded uncertainty, given
        before any machine's reading of this item was shown.
    """

    id: str
    item_id: str
    performer_id: str
    begun_at: datetime
    statements: tuple[str, ...]
    options: dict[str, Any] = field(default_factory=dict)
    state: TryState = TryState.AWAITING_PHOTO
    stage: str = ""
    photo: str | None = None
    photo_name: str = ""
    result: dict[str, Any] | None = None
    annotated: str | None = None
    failure: str | None = None
    own_hand_mm: float | None = None
    own_hand_u_mm: float | None = None
    sent_at: datetime | None = None


class PlacedLength(NamedTuple):
    """The length between two points that a person placed, mm.

    `difference_u_mm` is the expanded uncertainty of *placed minus read*.  Both
    come from the same geometry, whose doubt cancels in the difference and must not
    excuse it: what is left are the person's marks and the machine's own edges.
    """

    value_mm: float
    expanded_u_mm: float
    difference_u_mm: float


class PlacedValue(NamedTuple):
    """What a person's points on a tire's photo mean, in the unit of the result that they are held against.

    `difference_u` is the expanded uncertainty of *placed minus read*, as in `PlacedLength`.
    """

    value: float
    expanded_u: float
    difference_u: float


@dataclass(frozen=True)
class BlindReading:
    """What a person placed on the bare photo before anything of the machine's was shown.

    `difference_u_mm` as in `PlacedLength`.
    """

    id: str
    try_id: str
    person_id: str
    from_px: Pixel
    to_px: Pixel
    value_mm: float
    expanded_u_mm: float
    difference_u_mm: float
    at: datetime


@dataclass(frozen=True)
class HandReading:
    """A measurement by rule or gauge at the aircraft, signed; `round` as in `Item.hand_round`."""

    id: str
    item_id: str
    person_id: str
    value_mm: float
    expanded_u_mm: float
    instrument: str
    at: datetime
    round: int = 0


class Outcome(StrEnum):
    """What a confirmation does to the item.

    WITHIN_CLOSED; WITHIN_HAND_WANTED (a supporting leg without a hand
    measurement beside it: one is wanted); OUTSIDE_DISCREPANCY; HAND_WANTED
    (undecided, a disagreement, or an outside before: two people measure by hand).
    """

    WITHIN_CLOSED = "within_closed"
    WITHIN_HAND_WANTED = "within_hand_wanted"
    OUTSIDE_DISCREPANCY = "outside_discrepancy"
    HAND_WANTED = "hand_wanted"


@dataclass(frozen=True)
class Confirmation:
    """A second person's own reading, judgement and signature on one try.

    Attributes
    ----------
    agrees : bool
        Whether both readings agree within their combined uncertainty.
    difference_mm, combined_u_mm : float, mm
        Blind reading minus photo reading, and the expanded uncertainty of this difference.
    signed_hash : str
        SHA-256 of the canonical bytes of the record that was shown and signed.
    event_hash : str
        Hash of the chain's event that holds the record and the signature.
    """

    id: str
    try_id: str
    confirmer_id: str
    performer_id: str
    blind_reading_id: str
    agrees: bool
    difference_mm: float
    combined_u_mm: float
    outcome: Outcome
    signed_at: datetime
    signed_hash: str
    event_hash: str


class DiscrepancyState(StrEnum):
    """Where a discrepancy stands.

    OPEN → ACTED (something was done, its re-inspection is an item) → CLEARED;
    OPEN → DEFERRED (carried on, with a day or a number of landings) → ACTED.
    """

    OPEN = "open"
    ACTED = "acted"
    DEFERRED = "deferred"
    CLEARED = "cleared"


@dataclass(frozen=True)
class Discrepancy:
    """What was found wrong: place, text and, where there is one, the photo and its try."""

    id: str
    item_id: str
    try_id: str | None
    place: str
    text: str
    photo: str | None
    opened_by: str
    opened_at: datetime
    state: DiscrepancyState = DiscrepancyState.OPEN


@dataclass(frozen=True)
class Measured:
    """What the measuring gives: the contract's JSON of one result, and the annotated copy's bytes."""

    result: dict[str, Any]
    annotated: bytes | None = None
