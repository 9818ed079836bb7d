"""Tables of a benchmark: bias, spread, coverage, refusals, decisions; in all, by cell and by feature."""

from collections import Counter
from collections.abc import Sequence

import numpy as np

from tests.accuracy.decisions import decision_lines
from tests.accuracy.jobs import Row
from tests.accuracy.stats import COVERAGE, covered, large, name_of, readings, summary

HEAD = (
    "| cell | n | refused | bias mm | sd mm | 95 % of \\|error\\| mm | largest mm | median U mm | coverage "
    "| p of 0.95 | sd / (0.05 ⊕ 0.1 % L) |"
)
RULE = "|" + "---|" * 11
SETS = ("fair", "wide", "hard", "rendered fair", "rendered wide", "photos fair", "photos other")
LISTED = 60


def line(name: str, rows: Sequence[Row]) -> str:
    """One line of the table."""
    s = summary(rows)
    if not s.coverage.n:
        return f"| {name} | {s.n} | {s.refused.value:.1%} |" + " – |" * 8
    low, high = s.coverage.interval()
    return (
        f"| {name} | {s.n} | {s.refused.value:.1%} | {s.bias:+.3f} | {s.sd:.3f} | {s.p95:.3f} "
        f"| {s.largest:.3f} | {s.median_u:.3f} | {s.coverage.value:.3f} [{low:.3f}, {high:.3f}] "
        f"| {s.coverage.p_value(COVERAGE):.2g} | {s.relative_sd:.2f} |"
    )


def sets_of(rows: Sequence[Row]) -> dict[str, list[Row]]:
    """The rows of each set that there is, in the order of the report."""
    found = {row["cell"].get("set", "") for row in rows}
    names = [name for name in SETS if name in found] + sorted(found - set(SETS))
    return {name: [row for row in rows if row["cell"].get("set", "") == name] for name in names}


def table(rows: Sequence[Row]) -> str:
    """The whole report as Markdown."""
    lines = [HEAD, RULE]
    for kind, subset in sets_of(rows).items():
        lines.append(line(f"**{kind}**", subset))
        keys = dict.fromkeys(key for row in subset for key in row["cell"] if key != "set")
        for key in keys:
            for value in sorted({row["cell"][key] for row in subset if key in row["cell"]}):
                cell = [row for row in subset if row["cell"].get(key) == value]
                lines.append(line(f"{kind}, {key} {value}", cell))
        lines += _crossed(kind, subset)
        for feature in sorted({name for row in subset for name in row.get("features", ())}):
            having = [row for row in subset if feature in row.get("features", ())]
            lines.append(line(f"{kind}, with {feature}", having))
    lines += ["", *_refusals(rows), *_accepted(rows), ""]
    for kind, subset in sets_of(rows).items():
        lines += decision_lines(kind, subset)
    lines += _verdicts(rows)
    seconds = [row["seconds"] for row in rows if "seconds" in row]
    if seconds:
        lines.append(f"Seconds per photo (decoded picture to result): median {np.median(seconds):.2f}")
    return "\n".join(lines)


def _crossed(kind: str, rows: Sequence[Row]) -> list[str]:
    """A line for every cell of elevation and extension together."""
    keys = sorted(
        {
            (row["cell"]["elevation"], row["cell"]["extension"])
            for row in rows
            if {"elevation", "extension"} <= set(row["cell"])
        },
        key=lambda key: [float(name.strip("° m")) for name in key],
    )
    lines = []
    for elevation, extension in keys:
        cell = [
            row
            for row in rows
            if row["cell"].get("elevation") == elevation and row["cell"].get("extension") == extension
        ]
        lines.append(line(f"{kind}, elevation {elevation} and extension {extension}", cell))
    return lines


def _refusals(rows: Sequence[Row]) -> list[str]:
    causes = Counter(
        f"{row['cell'].get('set')}: {row['cause']}" for row in rows if row["status"] == "refused"
    )
    lines = ["Refusals by cause: " + "; ".join(f"{c} × {n}" for c, n in causes.most_common())]
    crashes = [row for row in rows if row["status"] == "crash"]
    lines.append(f"Crashes: {len(crashes)}")
    lines += [f"- {name_of(row)}: {row['trace'].strip().splitlines()[-1]}" for row in crashes[:LISTED]]
    unlike = [row for row in rows if row.get("unlike")]
    lines += [f"- not as expected: {name_of(row)}: {row['unlike']}" for row in unlike]
    return lines


def _accepted(rows: Sequence[Row]) -> list[str]:
    bad = large(rows)
    within = sum(map(covered, bad))
    lines = [
        "",
        f"Accepted errors above 1 mm: {len(bad)} of {len(readings(rows))} readings, "
        f"of which {within} within their own U.",
    ]
    for row in bad[:LISTED]:
        what = ", ".join(row.get("features", ())) or row["cell"]
        drawn = f" ![{name_of(row)}]({row['overlay']})" if "overlay" in row else ""
        inside = "within U" if covered(row) else "BEYOND U"
        lines.append(
            f"- {name_of(row)}: error {row['error']:+.2f} mm, U {row['U']:.2f} mm, {inside}; {what}{drawn}"
        )
    return lines


def _verdicts(rows: Sequence[Row]) -> list[str]:
    """Verdicts by the photos' own limits against the truth."""
    found: Counter[tuple[str, str]] = Counter()
    for row in readings(rows):
        low, high = row.get("limits") or (None, None)
        if row.get("verdict") and (low is not None or high is not None):
            inside = (low is None or row["truth"] >= low) and (high is None or row["truth"] <= high)
            found["within" if inside else "outside", row["verdict"]] += 1
    if not found:
        return []
    names = ("within", "outside", "undecided")
    lines = ["By the legs' own limits:", "", "| truth | " + " | ".join(f"called {v}" for v in names) + " |"]
    lines.append("|---" * 4 + "|")
    for truth in ("within", "outside"):
        counts = [found[truth, verdict] for verdict in names]
        lines.append(f"| {truth} | " + " | ".join(map(str, counts)) + " |")
    return [*lines, ""]
