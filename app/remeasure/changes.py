"""What would change for a try: value, uncertainty, verdict, or whether there is a value at all."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from app.measuring.software import KEY as SOFTWARE

SAME_MM = 1e-3
"""Values closer than this are the same: another processor rounds otherwise, far below any doubt."""


class Kind(StrEnum):
    """What would change, the gravest first."""

    VERDICT = "verdict"
    TO_REFUSAL = "reading to refusal"
    TO_READING = "refusal to reading"
    FAILED = "not measurable any more"
    MEASURABLE = "measurable now"
    FLAGS = "flags"
    VALUE = "value"
    UNCERTAINTY = "uncertainty"
    CAUSE = "cause of the refusal"
    NOTHING = "nothing"


ORDER = {kind: place for place, kind in enumerate(Kind)}


@dataclass(frozen=True)
class Change:
    """One try, then and now; numbers are in the result's unit and None where there is no reading.

    `version_before` is the software that read it then, empty where the result does not tell;
    `beyond` tells whether the value moves by more than the uncertainty that it had.
    """

    try_id: str
    registration: str
    position: str
    begun_at: str
    version_before: str
    kind: Kind
    before: str
    after: str
    value_before: float | None
    value_after: float | None
    u_before: float | None
    u_after: float | None
    beyond: bool

    @property
    def moves(self) -> float | None:
        """Value now less value then."""
        if self.value_before is None or self.value_after is None:
            return None
        return self.value_after - self.value_before


def change_of(line: Mapping[str, Any]) -> Change:
    """Return what would change by one line of the journal."""
    before, after = line["before"], line["after"]
    value_before, u_before = _numbers(before)
    value_after, u_after = _numbers(after)
    moved = None if value_before is None or value_after is None else abs(value_after - value_before)
    return Change(
        line["try"],
        line["registration"],
        line["position"],
        line["begun_at"],
        "" if before is None else str(before["evidence"].get(SOFTWARE, "")),
        _kind(before, after),
        _said(before),
        _said(after),
        value_before,
        value_after,
        u_before,
        u_after,
        moved is not None and u_before is not None and moved > u_before,
    )


_SEARCHED = ("flags", "set_aside", "hoses", "surface")
"""What a search tells; of hoses there is no surface."""


def _kind(before: Mapping[str, Any] | None, after: Mapping[str, Any] | None) -> Kind:
    if before is None or after is None:
        if before is after:
            return Kind.NOTHING
        return Kind.FAILED if after is None else Kind.MEASURABLE
    were, are = before["status"] != "refused", after["status"] != "refused"
    if were and are:
        if before["status"] == "searched":
            same = all(before.get(name) == after.get(name) for name in _SEARCHED)
            return Kind.NOTHING if same else Kind.FLAGS
        return _of_readings(before, after)
    if were or are:
        return Kind.TO_REFUSAL if were else Kind.TO_READING
    return Kind.NOTHING if before.get("cause") == after.get("cause") else Kind.CAUSE


def _of_readings(before: Mapping[str, Any], after: Mapping[str, Any]) -> Kind:
    if before["verdict"] != after["verdict"]:
        return Kind.VERDICT
    if abs(before["value"] - after["value"]) > SAME_MM:
        return Kind.VALUE
    apart = abs(before["expanded_uncertainty"] - after["expanded_uncertainty"])
    return Kind.UNCERTAINTY if apart > SAME_MM else Kind.NOTHING


def _numbers(result: Mapping[str, Any] | None) -> tuple[float | None, float | None]:
    if result is None or result["status"] != "reading":
        return None, None
    return result["value"], result["expanded_uncertainty"]


def _said(result: Mapping[str, Any] | None) -> str:
    """Return the verdict, the refusal's cause, or that it could not be measured."""
    if result is None:
        return "not measurable"
    if result["status"] == "refused":
        return f"refused: {result.get('cause') or 'unknown cause'}"
    if result["status"] == "searched":
        return f"searched: {len(result['flags'])} flags"
    return result["verdict"] or "no limits"
