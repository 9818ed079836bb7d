"""What follows from a second person's own answer, as pure functions.

=========  =========  ========  ===========================================
first      second     agree     the item
=========  =========  ========  ===========================================
any        fault      any       discrepancy: who finds something is right
                                until it is shown that he is not
fault      any        any       discrepancy
undecided  any        any       anew, with a better instrument
any        undecided  any       anew, with a better instrument
same       same       yes       closed
otherwise                       anew: both answers stay, both answer again
=========  =========  ========  ===========================================

Two gauge readings agree within their combined U, √(U1² + U2²); what was placed on the
photo that the first answer stands on shares its geometry, so the doubt of their
difference is told with it and is never taken larger than that; two counts when
they are equal in everything that was counted; two answers by eye when they are
the same.
"""

import math
from collections.abc import Mapping
from typing import Any

from app.inspection.rounds.model import Finding, LookOutcome

_COUNTED = ("counted", "worst_inch", "critical", "strand_broken")


def look_outcome(
    first: Finding,
    first_reading: Mapping[str, Any] | None,
    second: Finding,
    reading: Mapping[str, Any] | None,
) -> LookOutcome:
    """Return what a signed second look does to its item (see the table above)."""
    if Finding.FAULT in (first, second):
        return LookOutcome.DISCREPANCY
    if Finding.UNDECIDED in (first, second) or first is not second:
        return LookOutcome.ANEW
    return LookOutcome.CLOSED if readings_agree(first_reading, reading) else LookOutcome.ANEW


def readings_agree(one: Mapping[str, Any] | None, other: Mapping[str, Any] | None) -> bool:
    """Return whether two people read the same within their doubt; True where nothing was read."""
    one, other = one or {}, other or {}
    if ("value" in one) != ("value" in other):
        return False
    if "value" in one:
        apart = abs(one["value"] - other["value"])
        allowed = math.hypot(one["expanded_u"], other["expanded_u"])
        return bool(apart <= min(allowed, other.get("difference_u", allowed)))
    return all(one.get(name) == other.get(name) for name in _COUNTED)
