"""Results as the measurements write them, for the screens to show."""

from typing import Any

from vision import notes
from vision.results import BudgetLine, Limits, Reading, Refusal, Verdict, to_json

LIMITS = Limits(82.55, 95.25, "demo manual rev 3")
BUDGET = (
    BudgetLine("piston diameter", 0.03),
    BudgetLine("rolling shutter", 0.09),
    BudgetLine("band sides", 0.07),
    BudgetLine("collar rim", 0.02),
    BudgetLine("band edge", 0.02),
    BudgetLine("focal length", 0.01),
    BudgetLine("card print", 0.01),
)


def reading(verdict: Verdict | None = Verdict.WITHIN, value: float = 86.23, **changed: Any) -> Reading:
    given = {
        "name": "strut_extension",
        "value": value,
        "unit": "mm",
        "expanded_uncertainty": 0.288,
        "budget": BUDGET,
        "notes": (notes.EXTENSION_ONLY, notes.RESTING_STATE, notes.FEW_PIXELS),
        "limits": LIMITS,
        "verdict": verdict,
    }
    return Reading(**(given | changed))


def refusal() -> Refusal:
    return Refusal("strut_extension", notes.WRONG_LEG, "tag 403, this leg has 402")


def stored(result: Reading | Refusal) -> dict[str, Any]:
    return to_json(result)
