"""What there is in practice: what was shown, what was chosen, what it came to."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Choice(StrEnum):
    """What a person said to a case."""

    STANDS = "stands"
    """The machine's value stands."""

    HAND = "hand"
    """A hand measurement is wanted: the two readings do not agree."""

    NO_VALUE = "no_value"
    """The photo gives no value."""


@dataclass(frozen=True)
class Shown:
    """What a person is shown of a machine, after his own reading.

    Attributes
    ----------
    value_mm, u_mm : float
        The value and its expanded uncertainty.
    is_wrong : bool
        Whether it is wrong on purpose; told only after the answer.
    """

    value_mm: float
    u_mm: float
    is_wrong: bool


@dataclass(frozen=True)
class Answer:
    """One case answered.

    Attributes
    ----------
    placed_mm : float or None
        The person's own reading; None where he placed nothing.
    truth_mm : float
        The extension that the scene was rendered with.
    is_usable : bool
        Whether the photo can give a value at all.
    """

    id: str
    person_id: str
    case: str
    at: datetime
    is_usable: bool
    truth_mm: float
    shown_mm: float
    shown_is_wrong: bool
    placed_mm: float | None
    choice: Choice
