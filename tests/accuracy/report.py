"""Tables of a benchmark: bias, spread, coverage and refusals, in all and by cell."""

from collections import Counter
from collections.abc import Sequence
from typing import Any

import numpy as np
from scipy.stats import binomtest

Row = dict[str, Any]
HEAD = (
    "| cell | n | refused | bias mm | sd mm | 95 % of \\|error\\| mm | largest mm | median U mm | coverage |"
)


def line(name: str, rows: Sequence[Row]) -> str:
    """One line of the table."""
    read = [row for row in rows if row["status"] == "reading"]
    refused = sum(row["status"] == "refused" for row in rows) / max(len(rows), 1)
    if not read:
        return f"| {name} | {len(rows)} | {refused:.0%} | – | – | – | – | – | – |"
    error = np.array([row["error"] for row in read])
    expanded = np.array([row["U"] for row in read])
    inside = int(np.sum(np.abs(error) <= expanded))
    interval = binomtest(inside, len(read)).proportion_ci(0.95)
    return (
        f"| {name} | {len(rows)} | {refused:.1%} | {error.mean():+.3f} | {error.std():.3f} "
        f"| {np.quantile(np.abs(error), 0.95):.3f} | {np.abs(error).max():.3f} | {np.median(expanded):.3f} "
        f"| {inside / len(read):.3f} [{interval.low:.3f}, {interval.high:.3f}] |"
    )


def table(rows: Sequence[Row]) -> str:
    """The whole report as Markdown."""
    lines = [HEAD, "|" + "---|" * 9]
    for kind in ("fair", "wide"):
        subset = [row for row in rows if row["cell"]["set"] == kind]
        if not subset:
            continue
        lines.append(line(f"**{kind}**", subset))
        for key in subset[0]["cell"]:
            if key == "set":
                continue
            for value in sorted({row["cell"][key] for row in subset}):
                cell = [row for row in subset if row["cell"][key] == value]
                lines.append(line(f"{kind}, {key} {value}", cell))
    causes = Counter(f"{row['cell']['set']}: {row['cause']}" for row in rows if row["status"] == "refused")
    lines += ["", "Refusals by cause: " + "; ".join(f"{c} × {n}" for c, n in causes.most_common())]
    crashes = [row for row in rows if row["status"] == "crash"]
    lines.append(f"Crashes: {len(crashes)}" + "".join(f"\n{row['trace']}" for row in crashes[:3]))
    bad = [row for row in rows if row["status"] == "reading" and abs(row["error"]) > 1.0]
    covered = sum(abs(row["error"]) <= row["U"] for row in bad)
    lines.append(f"Accepted errors above 1 mm: {len(bad)}, of which {covered} within their own U.")
    lines += [
        f"- {row['cell']['set']} seed {row['seed']}: error {row['error']:+.2f} mm, U {row['U']:.2f} mm, {row['cell']}"
        for row in sorted(bad, key=lambda row: -abs(row["error"]))[:40]
    ]
    seconds = [row["seconds"] for row in rows if "seconds" in row]
    if seconds:
        lines.append(f"Seconds per photo (decoded picture to result): median {np.median(seconds):.2f}")
    return "\n".join(lines)
