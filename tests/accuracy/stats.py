"""Figures of many rows: bias, spread, coverage with its exact interval and test, refusals."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.stats import binomtest

from tests.accuracy.jobs import Row

COVERAGE = 0.95
LARGE_MM = 1.0  # accepted errors above are listed one by one


@dataclass(frozen=True)
class Share:
    """k of n with the exact 95 % interval of Clopper and Pearson (Biometrika 26 (1934) 404)."""

    k: int
    n: int

    @property
    def value(self) -> float:
        """The share itself, nan of nothing."""
        return self.k / self.n if self.n else float("nan")

    def interval(self) -> tuple[float, float]:
        """The exact interval; [0, 1] of nothing."""
        if not self.n:
            return 0.0, 1.0
        found = binomtest(self.k, self.n).proportion_ci(0.95, method="exact")
        return float(found.low), float(found.high)

    def p_value(self, share: float) -> float:
        """Two-sided exact binomial test of the share being this; 1 of nothing."""
        return float(binomtest(self.k, self.n, share).pvalue) if self.n else 1.0

    def __str__(self) -> str:
        low, high = self.interval()
        return (
            f"{self.k} of {self.n} = {self.value:.3f} [{low:.3f}, {high:.3f}]" if self.n else "none of none"
        )


@dataclass(frozen=True)
class Summary:
    """Figures of some rows; errors and U in mm, nan where nothing was read.

    `relative_sd` is the sd of error / √((0.05 mm)² + (0.1 % of L)²): 1 or less is what is asked of fair
    analytic scenes.
    """

    n: int
    refused: Share
    bias: float
    sd: float
    p95: float
    largest: float
    median_u: float
    coverage: Share
    relative_sd: float


def readings(rows: Sequence[Row]) -> list[Row]:
    """The rows that are readings with a known truth."""
    return [row for row in rows if row["status"] == "reading" and row.get("error") is not None]


def covered(row: Row) -> bool:
    """Whether a reading's truth lies within its U (and the truth's own doubt)."""
    return bool(abs(row["error"]) <= np.hypot(row["U"], 1.96 * row.get("truth_u", 0.0)))


def summary(rows: Sequence[Row]) -> Summary:
    """The figures of rows; crashes count as neither read nor refused."""
    read = readings(rows)
    refused = Share(sum(row["status"] == "refused" for row in rows), len(rows))
    coverage = Share(sum(map(covered, read)), len(read))
    if not read:
        return Summary(len(rows), refused, *[float("nan")] * 5, coverage, float("nan"))
    error = np.array([row["error"] for row in read])
    size = np.array([row["truth"] for row in read])
    return Summary(
        len(rows),
        refused,
        float(error.mean()),
        float(error.std()),
        float(np.quantile(np.abs(error), 0.95)),
        float(np.abs(error).max()),
        float(np.median([row["U"] for row in read])),
        coverage,
        float((error / np.hypot(0.05, 0.001 * size)).std()),
    )


def large(rows: Sequence[Row]) -> list[Row]:
    """The accepted errors above 1 mm, the worst against its own U first."""
    bad = [row for row in readings(rows) if abs(row["error"]) > LARGE_MM]
    return sorted(bad, key=lambda row: -abs(row["error"]) / row["U"])


def name_of(row: Row) -> str:
    """How a row is called in a list: its file's name, or its set and seed."""
    return str(row["name"]) if "name" in row else f"{row['cell'].get('set', '')} seed {row['seed']}".strip()
