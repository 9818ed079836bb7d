"""A photo that came before anybody said of which leg it is."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True)
class Gathered:
    """One photo from a phone's gallery, kept until it is given to a leg or set aside with a reason."""

    id: str
    person_id: str
    aircraft_id: str
    photo: str
    photo_name: str
    at: datetime
    try_id: str | None = None
    set_aside: str | None = None
