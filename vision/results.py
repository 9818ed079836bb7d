"""What a measurement gives: a `Reading` with its doubt, or a `Refusal` with its remedy.

Both are plain frozen values without people, files or screens, and both turn
into the JSON of the project's contract with `to_json`.

Units: every `value`, limit and uncertainty is in the unit named by `unit`
(``"mm"``, ``"deg"`` or ``"1"``).  Uncertainties are standard (one sigma) unless
the name says *expanded*, which is the half-width of the interval with
`coverage_probability` (JCGM 100:2008, 2.3.5 and 2.3.6).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from vision.notes import Note, Remedy

COVERAGE_PROBABILITY = 0.95
COVERAGE_FACTOR = 1.96  # of a normal distribution at that probability


class Verdict(StrEnum):
    """A reading held against its limits with guard band U (JCGM 106:2012, 8.3)."""

    WITHIN = "within"
    OUTSIDE = "outside"
    UNDECIDED = "undecided"


@dataclass(frozen=True)
class Limits:
    """The leg's own limits, one- or two-sided, in the unit of the reading."""

    lower: float | None = None
    upper: float | None = None
    document: str = ""


@dataclass(frozen=True)
class BudgetLine:
    """One source of doubt and its standard uncertainty in the unit of the reading."""

    source: str
    standard_uncertainty: float


@dataclass(frozen=True)
class Reading:
    """A measured value that says how far it may be wrong.

    Attributes
    ----------
    name : str
        What was measured, e.g. ``"strut_extension"``.
    value : float
        The best estimate, in `unit`.
    unit : str
        ``"mm"``, ``"deg"`` or ``"1"``.
    expanded_uncertainty : float, > 0
        Half-width of the 95 % interval about `value`.
    budget : sequence of BudgetLine
        Where the doubt comes from; the squares add up to the combined variance.
    evidence : mapping
        Where on the photo the value was read, as plain JSON values.
    notes : sequence of Note
        Remarks for the person who confirms.
    limits : Limits or None
        What the value was held against.
    verdict : Verdict or None
        None where there is nothing to hold it against.
    """

    name: str
    value: float
    unit: str
    expanded_uncertainty: float
    budget: Sequence[BudgetLine] = ()
    evidence: Mapping[str, Any] = field(default_factory=dict)
    notes: Sequence[Note] = ()
    limits: Limits | None = None
    verdict: Verdict | None = None
    coverage_probability: float = COVERAGE_PROBABILITY

    def __bool__(self) -> bool:
        return True


@dataclass(frozen=True)
class Refusal:
    """No value, with the reason and one thing to do about it.

    A refusal is false when tested, so ``if result:`` asks "is there a value?".
    """

    name: str
    remedy: Remedy
    detail: str = ""
    evidence: Mapping[str, Any] = field(default_factory=dict)
    notes: Sequence[Note] = ()

    @property
    def reason(self) -> str:
        """The registry's sentence, with what was found in this photo behind it."""
        return f"{self.remedy.reason} ({self.detail})" if self.detail else self.remedy.reason

    @property
    def advice(self) -> str:
        """The one thing to do."""
        return self.remedy.advice

    def __bool__(self) -> bool:
        return False


Result = Reading | Refusal


def to_json(result: Result) -> dict[str, Any]:
    """Return the contract's JSON object of one result (keys always all present)."""
    common = {
        "name": result.name,
        "evidence": dict(result.evidence),
        "notes": [{"code": note.code, "text": note.text} for note in result.notes],
    }
    if isinstance(result, Refusal):
        return common | {
            "status": "refused",
            "value": None,
            "unit": None,
            "expanded_uncertainty": None,
            "coverage_probability": None,
            "verdict": None,
            "limits": None,
            "budget": [],
            "cause": result.remedy.code,
            "reason": result.reason,
            "advice": result.advice,
        }
    limits = result.limits
    return common | {
        "status": "reading",
        "value": result.value,
        "unit": result.unit,
        "expanded_uncertainty": result.expanded_uncertainty,
        "coverage_probability": result.coverage_probability,
        "verdict": result.verdict.value if result.verdict else None,
        "limits": None
        if limits is None
        else {"lower": limits.lower, "upper": limits.upper, "document": limits.document},
        "budget": [
            {"source": line.source, "standard_uncertainty": line.standard_uncertainty}
            for line in result.budget
        ],
        "cause": None,
        "reason": None,
        "advice": None,
    }
