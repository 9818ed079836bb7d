"""Whether a photo can be of this visit and of the condition that was stated, by the time in its file.

A photo's clock is the phone's own: it is evidence, not proof.  What it says is held
against the visit and against the condition that was stated:

=============================================== =========================================
the file's time                                 what follows
=============================================== =========================================
older than the visit                            the photo is refused
before the condition was stated, after it was
left, or still to come                          questioned: a person's reason is required
without a zone, and it may fit in one           named as a doubt
none                                            named as a doubt
otherwise                                       it fits
=============================================== =========================================
"""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum

from app.errors import Conflict
from app.inspection.model import Inspection, Try
from app.inspection.ports import Reader
from app.inspection.rounds.model import OPENING, Stated

CLOCKS_DIFFER = timedelta(minutes=5)
"""A phone's clock and the server's may be apart by so much."""

# A clock shows between 14 hours ahead of UTC and 12 hours behind it.
_EAST, _WEST = timedelta(hours=14), timedelta(hours=12)
QUESTIONED, BECAUSE = "Photo's time questioned: ", "Reason given for the photo's time: "
"""How the statements of a try begin that hold the question and its answer; stored for years."""
_SHOWN = "%d %b %Y, %H:%M"


class Age(StrEnum):
    """What a photo's time says of it."""

    FITS = "fits"
    NAMED = "named"
    QUESTIONED = "questioned"
    REFUSED = "refused"


@dataclass(frozen=True)
class Window:
    """From when to when a photo is of the condition that was stated; `left` is None while it still is.

    All are aware.
    """

    opened: datetime
    stated: datetime
    left: datetime | None


def age_of(taken: datetime | None, window: Window, now: datetime) -> tuple[Age, str]:
    """Return what the time of a photo says, with a sentence; empty where it fits.

    Parameters
    ----------
    taken : datetime or None
        By the photo's file; naive where it names no zone.
    window : Window
        Of the visit and the condition.
    now : datetime
        Aware.
    """
    if taken is None:
        return Age.NAMED, "The photo's file does not tell when it was taken."
    shown = f"The photo was taken {taken:{_SHOWN}} by its own clock"
    if taken.tzinfo is None:
        as_utc = taken.replace(tzinfo=UTC)
        earliest, latest = as_utc - _EAST, as_utc + _WEST
        shown += ", whose zone it does not tell"
    else:
        shown += f" (UTC{taken:%z})"
        earliest = latest = taken
    if latest < window.opened - CLOCKS_DIFFER:
        return Age.REFUSED, f"{shown}; this visit was opened {window.opened:{_SHOWN}} UTC."
    why = ""
    if latest < window.stated - CLOCKS_DIFFER:
        why = f"before its condition was stated ({window.stated:{_SHOWN}} UTC)"
    elif earliest > now + CLOCKS_DIFFER:
        why = "which is still to come"
    elif window.left is not None and earliest > window.left + CLOCKS_DIFFER:
        why = f"after another condition was stated ({window.left:{_SHOWN}} UTC)"
    if why:
        return Age.QUESTIONED, f"{shown}, {why}."
    if taken.tzinfo is None:
        return Age.NAMED, f"{shown}: whether that lies in this visit cannot be told from it."
    return Age.FITS, ""


def window_of(r: Reader, visit: Inspection, begun_at: datetime) -> Window:
    """Return the window of the condition that counted when a photo was begun.

    Statements of one condition that follow each other without another between are one stretch.
    """
    stated = [one for one in r.all(Stated, inspection_id=visit.id) if one.what != OPENING]
    stated.sort(key=lambda one: one.at)
    before = [one for one in stated if one.at <= begun_at]
    if not before:
        return Window(visit.opened_at, visit.opened_at, None)
    what = before[-1].what
    others = [one.at for one in before if one.what != what]
    begin = min(
        one.at for one in before if one.what == what and one.at > max(others, default=visit.opened_at)
    )
    left = min((one.at for one in stated if one.at > begun_at and one.what != what), default=None)
    return Window(visit.opened_at, begin, left)


def checked_age(
    r: Reader, visit: Inspection, begun_at: datetime, taken: datetime | None, now: datetime
) -> str:
    """Return the statement that a photo's time adds to its try; empty where it fits.

    Raises
    ------
    Conflict
        The photo is older than the visit.
    """
    age, words = age_of(taken, window_of(r, visit, begun_at), now)
    if age is Age.REFUSED:
        msg = (
            f"{words} It shows another day's gear: photograph it as it is now, "
            "or set the phone's clock right first."
        )
        raise Conflict(msg)
    return f"{QUESTIONED}{words}" if age is Age.QUESTIONED else words


def question_of(this: Try) -> str:
    """Return the open question about the time of a try's photo; empty where there is none."""
    asked = [one for one in this.statements if one.startswith(QUESTIONED)]
    answered = any(one.startswith(BECAUSE) for one in this.statements)
    return "" if answered or not asked else asked[-1].removeprefix(QUESTIONED)
