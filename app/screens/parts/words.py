"""The words that screens use for states and outcomes; one table each, so that all pages say the same."""

from datetime import UTC, datetime

from app.inspection.model import STRUT_EXTENSION, Basis, ItemState, Outcome, TryState

ITEM_STATES: dict[ItemState, str] = {
    ItemState.TO_DO: "To do",
    ItemState.WAITING: "Waits for a second person",
    ItemState.HAND_WANTED: "Hand measurement wanted",
    ItemState.DISCREPANCY: "Discrepancy open",
    ItemState.CLOSED: "Closed",
}

TRY_STATES: dict[TryState, str] = {
    TryState.AWAITING_PHOTO: "No photo yet",
    TryState.STORED: "Photo stored, waits to be measured",
    TryState.MEASURING: "Being measured",
    TryState.READ: "Read, not sent",
    TryState.REFUSED: "No value",
    TryState.FAILED: "Not measurable",
    TryState.SENT: "Sent, waits for confirmation",
    TryState.SETTLED: "Settled",
}

OUTCOMES: dict[Outcome, str] = {
    Outcome.WITHIN_CLOSED: "The readings agree and the photo reading is within: the item closes.",
    Outcome.WITHIN_HAND_WANTED: (
        "The readings agree and the photo reading is within. This leg's photo readings are supporting: "
        "the item closes once a hand measurement stands beside it."
    ),
    Outcome.OUTSIDE_DISCREPANCY: (
        "The readings agree and the photo reading is outside: a discrepancy is opened with place, "
        "photo and text."
    ),
    Outcome.HAND_WANTED: "The photo reading does not stand: two people measure this strut by hand.",
}

BASES: dict[Basis, str] = {
    Basis.PRIMARY: "Photo readings of this leg may stand by themselves",
    Basis.SUPPORTING: "Supporting: a hand measurement stands beside the photo reading",
}


_ITEMS = {STRUT_EXTENSION: "Strut extension", "tire_line": "How the tire stands"}


def item_words(key: str) -> str:
    """Return an item's key as people read it."""
    base, _, wheel = key.partition("@")
    words = _ITEMS.get(base, base.replace("_", " ").capitalize())
    return f"{words}, {wheel} wheel" if wheel else words


def when(moment: datetime) -> str:
    """Return a moment as records show it: date and minute in UTC, which everybody can compare."""
    return moment.astimezone(UTC).strftime("%Y-%m-%d %H:%M UTC")


def short(digest: str) -> str:
    """Return the beginning of a hash, enough to compare by eye."""
    return digest[:12]
