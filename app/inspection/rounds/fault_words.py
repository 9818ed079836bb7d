"""What a discrepancy says of a fault: in numbers what was read or counted, then the person's own words."""

from collections.abc import Mapping
from typing import Any


def fault_words(text: str, reading: Mapping[str, Any] | None) -> str:
    """Return the words."""
    said = []
    if reading and "value" in reading:
        said.append(
            f"{reading['value']:.4g} {reading['unit']} ± {reading['expanded_u']:.2g} {reading['unit']} "
            f"is outside {_bound(reading)}"
        )
    elif reading and "strand_broken" in reading:
        strand = ", a strand is broken" if reading["strand_broken"] else ""
        said.append(
            f"{reading['counted']} broken wires, {reading['worst_inch']} in the worst inch, "
            f"{reading['critical']} in critical areas{strand}"
        )
    elif reading and "counted" in reading:
        said.append(f"counted {reading['counted']}, {_counts(reading)}")
    if text:
        said.append(text)
    return "; ".join(said) + "."


def _bound(reading: Mapping[str, Any]) -> str:
    lower, upper, unit = reading["lower"], reading["upper"], reading["unit"]
    if lower is None or upper is None:
        return f"at most {upper:.4g} {unit}" if lower is None else f"at least {lower:.4g} {unit}"
    return f"{lower:.4g} to {upper:.4g} {unit}"


def _counts(reading: Mapping[str, Any]) -> str:
    asked = [
        f"{word} {reading[name]}" for name, word in (("least", "at least"), ("most", "at most"))
        if reading[name] is not None
    ]  # fmt: skip
    return " and ".join(asked) + " asked for"
