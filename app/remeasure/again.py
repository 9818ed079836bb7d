"""One photo measured again, here or on another machine, and what came out."""

import time
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from app.measuring.job import Asked, work
from app.measuring.software import software
from vision.errors import GearwitnessError


@dataclass(frozen=True)
class Answer:
    """What the present version says of a photo.

    Attributes
    ----------
    version : str
        Of the program that measured.
    after : dict or None
        The result as the contract's JSON; None where it could not be measured.
    failure : str or None
        Why not.
    seconds : float
        How long it took.
    """

    version: str
    after: Mapping[str, Any] | None
    failure: str | None
    seconds: float


def measure_again(photo: bytes, leg_toml: str, options: Mapping[str, Any]) -> Answer:
    """Measure one photo in this process; what cannot be measured is an answer too."""
    began = time.perf_counter()
    after, failure = None, None
    try:
        after = work(Asked(photo, leg_toml, dict(options), draw=False), lambda stage: None).result
    except GearwitnessError as error:
        failure = str(error)
    return Answer(software(), after, failure, time.perf_counter() - began)
