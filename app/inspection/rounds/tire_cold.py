"""Whether a tire counts as cold, as it is told before anybody stands beside it; pure.

Hours since the last landing or the brake's temperature, each with what the document asks for:
where both are told, both have to fit.
"""

import math
from dataclasses import dataclass

from app.errors import Conflict, UsageError
from app.inspection.base import checked_text

MOST_HOURS, MOST_BRAKE_C = 100.0, 300.0
"""No document asks for a longer wait, or calls a hotter brake cold: such a number is mistyped; judged."""

_STAY_AWAY = "Come near only from the front or the rear, never from the side."


@dataclass(frozen=True)
class Cold:
    """Why a tire counts as cold, held against what the document asks for.

    Hours since the last landing against the least, or the brake's temperature in °C
    against the most, or both pairs.
    """

    hours: float | None = None
    least_hours: float | None = None
    brake_c: float | None = None
    most_brake_c: float | None = None
    document: str = ""

    def was_cold(self, hours_ago: float) -> bool:
        """Return whether it was cold some hours ago already; the brake is told of now only."""
        if self.hours is None or self.least_hours is None:
            return False
        return self.hours - hours_ago >= self.least_hours


def cold_words(cold: Cold) -> str:
    """Return the statement that a tire is cold.

    Raises
    ------
    UsageError
        Neither pair is told or one lacks its half, or a number is none or asks for no cold tire.
    Conflict
        It is not cold yet.
    """
    document = checked_text(cold.document, "The document that says when the tire is cold")
    said = [one for one in (_by_time(cold), _by_brake(cold)) if one]
    if not said:
        msg = (
            "Whether the tire is cold is not told: give the hours since the last landing with those that the "
            "document asks for, or the brake's temperature with the highest it allows"
        )
        raise UsageError(msg)
    words = "; ".join(said)
    return f"{words[0].upper()}{words[1:]} ({document})."


def _by_time(cold: Cold) -> str:
    if cold.hours is None and cold.least_hours is None:
        return ""
    if cold.hours is None or cold.least_hours is None:
        msg = "The hours since the last landing and those that the document asks for go together: give both"
        raise UsageError(msg)
    hours, least = _number(cold.hours, 0, 10_000), _number(cold.least_hours, -MOST_HOURS, MOST_HOURS)
    if least <= 0:
        msg = (
            f"At least {least:g} h after landing asks for no waiting, and no tire is cold then: "
            "type the hours as the document gives them"
        )
        raise UsageError(msg)
    if hours < least:
        msg = f"{hours:g} h after landing, and {least:g} h are asked for: wait. {_STAY_AWAY}"
        raise Conflict(msg)
    return f"the last landing was {hours:g} h ago; at least {least:g} h are asked for"


def _by_brake(cold: Cold) -> str:
    if cold.brake_c is None and cold.most_brake_c is None:
        return ""
    if cold.brake_c is None or cold.most_brake_c is None:
        msg = "The brake's temperature and the highest that the document allows go together: give both"
        raise UsageError(msg)
    brake, most = _number(cold.brake_c, -60, 1500), _number(cold.most_brake_c, -60, 1500)
    if most > MOST_BRAKE_C:
        msg = (
            f"A brake at up to {most:g} °C is not cold (more than {MOST_BRAKE_C:g} °C is refused): "
            "type the temperature as the document gives it"
        )
        raise UsageError(msg)
    if brake > most:
        msg = f"The brake is at {brake:g} °C, and at most {most:g} °C are allowed: wait. {_STAY_AWAY}"
        raise Conflict(msg)
    return f"the brake is at {brake:g} °C; at most {most:g} °C are allowed"


def _number(given: float, low: float, high: float) -> float:
    value = float(given)
    if not (math.isfinite(value) and low <= value <= high):
        msg = f"{given} is no time and no temperature of a tire: type it again"
        raise UsageError(msg)
    return value
