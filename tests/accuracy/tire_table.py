"""The rows of the tire's benchmark as a table in Markdown."""

from collections import Counter
from typing import Any

import numpy as np
from scipy.stats import beta

NAMES = (
    "pressure_line_angle", "creep_angle", "creep_arc", "outside_diameter", "loaded_radius", "deflection"
)  # fmt: skip
RELATIVE = ("outside_diameter", "loaded_radius")
# Who told level, and what the leg's document holds the line against: the other one's is lent.
LEVELS = {
    "line, level by the ground contact": {("ground contact", "ground")},
    "line, level by gravity": {("gravity in the file", "gravity")},
    "line, level lent": {("ground contact", "gravity"), ("gravity in the file", "ground")},
}
# What must come in place of a number, by fault: quantities and the remedies that are right answers.
NO_LINE = {"pressure-line-not-found", "pressure-line-elsewhere", "pressure-lines-several"}
NO_MARK = {"slip-mark-not-found", "slip-mark-one-sided", "slip-marks-several"}


def exact_interval(k: int, n: int) -> tuple[float, float]:
    """Clopper and Pearson's 95 % interval of a share."""
    low = 0.0 if k == 0 else float(beta.ppf(0.025, k, n - k + 1))
    high = 1.0 if k == n else float(beta.ppf(0.975, k + 1, n - k))
    return low, high


def table(rows: list[dict[str, Any]]) -> str:
    """Return errors, coverage and refusals of each set."""
    parts = []
    ways = sorted({row.get("told", "") for row in rows})
    for kind in ("fair", "wide"):
        for way in ways:
            mine = [row for row in rows if row["kind"] == kind and row.get("told", "") == way]
            if mine:
                parts.append(_quantities(f"{kind}, {way}" if way else kind, mine))
    faults = [row for row in rows if row["kind"] == "faults" and not row.get("told")]
    if faults:
        parts.append(_faults(faults))
    return "\n".join(parts)


def _quantities(kind: str, rows: list[dict[str, Any]]) -> str:
    seeds = [row["seed"] for row in rows]
    wheels = Counter(row["wheel"] or "none found" for row in rows)
    found = ", ".join(f"{name} {count}" for name, count in wheels.most_common())
    times = np.median([row["seconds"] for row in rows])
    lines = [
        f"## {kind}: n {len(rows)}, seeds {min(seeds)} to {max(seeds)}",
        "",
        f"Wheels: {found}. Median time {times:.2f} s.",
        "",
        "| quantity | n | refused | bias | sd | 95 % of errors within | largest | median U | truth within U |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for name in NAMES:
        lines.append(_row(name, [row["results"][name] for row in rows if name in row["results"]]))
    for name, asked in LEVELS.items():
        told = [row for row in rows if (row["level_from"], row["reference"]) in asked]
        if told:
            lines.append(_row(name, [row["results"]["pressure_line_angle"] for row in told]))
    lines += ["", "Refused:"]
    for name in NAMES:
        causes = Counter(
            row["results"][name]["refused"] for row in rows if "refused" in row["results"].get(name, {})
        )
        lines.append(f"- {name}: " + (", ".join(f"{c} {n}" for c, n in causes.most_common()) or "none"))
    return "\n".join(lines) + "\n"


def _row(name: str, results: list[dict[str, Any]]) -> str:
    read = [one for one in results if "value" in one]
    if not read:
        return f"| {name} | {len(results)} | all | | | | | | |"
    scale = np.array([one["true"] / 100 if name in RELATIVE else 1.0 for one in read])
    error = np.array([one["value"] - one["true"] for one in read]) / scale
    expanded = np.array([one["U"] for one in read]) / scale
    inside = int((np.abs(error) <= expanded).sum())
    low, high = exact_interval(inside, len(read))
    unit = " %" if name in RELATIVE else ""
    share = 1 - len(read) / len(results)
    return (
        f"| {name}{unit} | {len(results)} | {share:.0%} | {error.mean():.3f} | {error.std():.3f} "
        f"| {np.quantile(np.abs(error), 0.95):.3f} | {np.abs(error).max():.3f} | {np.median(expanded):.3f} "
        f"| {inside / len(read):.3f} ({inside} of {len(read)}; {low:.3f} to {high:.3f}) |"
    )


def _faults(rows: list[dict[str, Any]]) -> str:
    lines = [
        f"## faults: n {len(rows)}",
        "",
        "| fault | n | answers of the quantity concerned | numbers from something else |",
        "|---|---|---|---|",
    ]
    for fault in sorted({row["fault"] for row in rows}):
        mine = [row for row in rows if row["fault"] == fault]
        name = "pressure_line_angle" if "line" in fault and "outline" not in fault else "creep_angle"
        if fault.endswith("tapped") or fault == "wrong flange told":
            name = "outside_diameter"
        answers: Counter[str] = Counter()
        wrong = 0
        for row in mine:
            one = row["results"][name]
            answers[one.get("refused", "a number")] += 1
            wrong += _wrong(row, one)
        told = ", ".join(f"{a} {n}" for a, n in answers.most_common())
        lines.append(f"| {fault} | {len(mine)} | {told} | {wrong} |")
    return "\n".join(lines) + "\n"


def _wrong(row: dict[str, Any], one: dict[str, Any]) -> bool:
    """Whether a number came that must not: of a thing that is not there, or of a wrong circle."""
    if "value" not in one:
        return False
    if row["fault"] in ("flange tapped", "faint remnant"):
        return row["wheel"] != "right" or abs(one["value"] - one["true"]) > 1.5 * one["U"]
    return True
