"""A leg's readings over time, as trends see them: plain numbers with their doubt and their fate."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

SECONDS_A_DAY = 86_400.0


class Source(StrEnum):
    """Who gave the value: the program from a photo, or a person with a rule or gauge."""

    PHOTO = "photo"
    HAND = "hand"


@dataclass(frozen=True)
class Point:
    """One value.

    Attributes
    ----------
    at : datetime
        Aware.
    value, expanded_u : float, float > 0
        In the item's unit; U covers 95 %.
    source : Source
    stands : bool
        Whether it is the item's value; a try that was set aside is drawn and not counted.
    verdict : str
        As it was given then, empty where there was none; never judged anew here.
    lower, upper : float or None
        The limits it was held against then.
    id, version : str
        Where it comes from, and which software read it.
    pressure_kpa, temperature_c : float or None
        Told beside it.
    """

    at: datetime
    value: float
    expanded_u: float
    source: Source = Source.PHOTO
    stands: bool = True
    verdict: str = ""
    lower: float | None = None
    upper: float | None = None
    id: str = ""
    version: str = ""
    pressure_kpa: float | None = None
    temperature_c: float | None = None


def days(points: Sequence[Point], since: datetime) -> list[float]:
    """Return how many days after a moment each point lies."""
    return [(point.at - since).total_seconds() / SECONDS_A_DAY for point in points]
