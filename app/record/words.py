"""The words and numbers of an export, which are read without the program beside them."""

from collections.abc import Mapping
from typing import Any

from vision.units import INCH_MM, format_mm, format_reading

ITEM_STATES = {
    "to_do": "To do: not inspected",
    "waiting": "Waits for a second person",
    "hand_wanted": "Hand measurement wanted",
    "discrepancy": "Discrepancy open",
    "closed": "Closed",
}
TRY_STATES = {
    "awaiting_photo": "No photo came",
    "stored": "Photo stored, not measured",
    "measuring": "Photo stored, not measured",
    "read": "Read, not sent",
    "refused": "No value",
    "failed": "Not measurable",
    "sent": "Sent, not confirmed",
    "settled": "Settled",
}
OUTCOMES = {
    "within_closed": "The readings agree and the photo reading is within: the item closes.",
    "within_hand_wanted": (
        "The readings agree and the photo reading is within; this leg's photo readings are supporting, "
        "so a hand measurement was asked for."
    ),
    "outside_discrepancy": "The readings agree and the photo reading is outside: a discrepancy was opened.",
    "hand_wanted": "The photo reading does not stand: two people were asked to measure by hand.",
}
VERDICTS = {"within": "Within limits", "outside": "Outside limits", "undecided": "Undecided"}
SIGNS = {"within": "●", "outside": "▲", "undecided": "◆", "refused": "○"}
"""A verdict's shape, so that it is told without colour."""


def words(table: Mapping[str, str], value: str) -> str:
    """Return the words for a stored name; a name from a newer program reads as it is."""
    return table.get(value, value.replace("_", " ").capitalize())


def doubt(value: float, expanded_u: float, unit: str) -> str:
    """Return value and expanded uncertainty by the project's rule of rounding."""
    return format_reading(value, expanded_u, unit)


def lengths(result: Mapping[str, Any]) -> str:
    """Return a reading's value, in mm with the inches beside it where it is a length."""
    value, u, unit = result["value"], result["expanded_uncertainty"], result["unit"]
    text = format_reading(value, u, unit)
    if unit != "mm":
        return text
    return f"{text} ({format_reading(value / INCH_MM, u / INCH_MM, 'in')})"


def limits(result: Mapping[str, Any]) -> str:
    """Return what a reading was held against."""
    found = result.get("limits")
    if not found:
        return "no limits"
    lower, upper = found.get("lower"), found.get("upper")
    unit = result.get("unit") or ""
    ends = [_one(end, unit) for end in (lower, upper) if end is not None]
    if len(ends) == 2:
        text = f"{ends[0]} to {ends[1]}"
    else:
        text = f"at {'most' if lower is None else 'least'} {ends[0]}" if ends else "no limits"
    return f"{text}, {found['document']}" if found.get("document") else text


def counted(reading: Mapping[str, Any]) -> str:
    """Return what was counted, with what is allowed; empty where nothing was."""
    if "worst_inch" in reading:
        return (
            f"{reading['counted']} broken wires, {reading['worst_inch']} in the worst inch, "
            f"{reading['critical']} in critical areas ({reading['document']})"
        )
    if "counted" not in reading:
        return ""
    asked = [
        f"{word} {reading[name]}"
        for name, word in (("least", "at least"), ("most", "at most"))
        if reading[name] is not None
    ]
    return ", ".join([f"counted {reading['counted']}", *asked])


def tire_state(reading: Mapping[str, Any]) -> str:
    """Return how a tire's pressure was read, and as what its value is told; empty where neither is kept."""
    read = _state(reading.get("state"), reading.get("temperature_c"))
    if "stated" not in reading and "stated_c" not in reading:
        return read
    told = _state(
        reading.get("stated", reading.get("state")), reading.get("stated_c", reading.get("temperature_c"))
    )
    return f"{read}; told as {told}"


def _state(state: str | None, temperature_c: float | None) -> str:
    parts = [state or "", "" if temperature_c is None else f"at {temperature_c:g} °C"]
    return " ".join(part for part in parts if part)


def when(text: str | None) -> str:
    """Return a stored time as date and minute in UTC."""
    return "–" if not text else f"{text[:10]} {text[11:16]} UTC"


def _one(value: float, unit: str) -> str:
    return f"{format_mm(value)} ({value / INCH_MM:.3f} in)" if unit == "mm" else f"{value:g} {unit}"
