"""Where the doubt comes from: the sources of U as parts of one bar, and as a list."""

from collections.abc import Sequence

from app.screens.parts.markup import text
from vision.results import BudgetLine

NAMED = 5
"""So many sources get a part of their own; a screen's width tells no more apart."""


def budget_bar(budget: Sequence[BudgetLine], unit: str) -> str:
    """Return the markup of the bar and its list, the largest source first.

    Variances add up, standard uncertainties do not: the parts of the bar are
    shares of the variance, the numbers beside the names are standard
    uncertainties in `unit`.
    """
    parts = _parts(budget)
    if not parts:
        return ""
    bar = "".join(f'<i style="flex-grow:{share:.4f}"></i>' for _, _, share in parts)
    rows = "".join(
        f"<li><span>{text(name)}</span><span>{u:.3f} {text(unit)}</span><span>{100 * share:.0f} %</span></li>"
        for name, u, share in parts
    )
    return (
        f'<div class="gw-budget"><p>Where the doubt comes from</p><div aria-hidden="true">{bar}</div>'
        f"<ol>{rows}</ol><small>Standard uncertainties, and their shares of the variance.</small></div>"
    )


def _parts(budget: Sequence[BudgetLine]) -> list[tuple[str, float, float]]:
    lines = sorted(budget, key=lambda line: -line.standard_uncertainty)
    whole = sum(line.standard_uncertainty**2 for line in lines)
    if not whole:
        return []
    rest = sum(line.standard_uncertainty**2 for line in lines[NAMED:])
    named = [(line.source, line.standard_uncertainty) for line in lines[:NAMED]]
    if rest:
        count = len(lines) - NAMED
        named.append((f"{count} smaller source{'s' if count > 1 else ''}", rest**0.5))
    return [(name, u, u * u / whole) for name, u in named]
