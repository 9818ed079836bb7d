"""The benchmark's pictures as SVG: error against U, error by cell, error over U, refusals."""

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import numpy as np
from scipy.stats import norm

from tests.accuracy.jobs import Row
from tests.accuracy.report import sets_of
from tests.accuracy.stats import readings
from vision.agreement.svg import COLOURS, Chart

_MOST_CAUSES = 14
_MOST_MARKS = 1500  # of one set; more only make the file large


def write_plots(rows: Sequence[Row], folder: Path) -> list[Path]:
    """Write the pictures into a folder; what has no readings is left out."""
    charts = {"error_against_u": error_against_u(rows), "error_over_u": error_over_u(rows)}
    for key in ("elevation", "extension"):
        charts[f"error_by_{key}"] = error_by_cell(rows, key)
    charts["refusals"] = refusals(rows)
    written = []
    folder.mkdir(parents=True, exist_ok=True)
    for name, chart in charts.items():
        if chart is not None:
            path = folder / f"{name}.svg"
            path.write_text(chart.text(), encoding="utf-8")
            written.append(path)
    return written


def error_against_u(rows: Sequence[Row]) -> Chart | None:
    """Every reading: its error over its U; beyond the two lines U was too small."""
    groups = {name: readings(subset) for name, subset in sets_of(rows).items()}
    groups = {name: read for name, read in groups.items() if read}
    if not groups:
        return None
    everything = [row for read in groups.values() for row in read]
    most = float(np.quantile([row["U"] for row in everything], 0.995)) * 1.05
    reach = max(1.5 * most, 0.1)
    hidden = sum(row["U"] > most or abs(row["error"]) > reach for row in everything)
    chart = Chart(
        f"Error against U: {len(everything)} readings",
        f"Each mark is a reading. {hidden} lie at the border or beyond it. "
        "Between the two slanting lines the truth lies within U.",
        "U, mm",
        "error, mm",
        (0.0, most),
        (-reach, reach),
    )
    chart.level(0.0, "#999999", dashes="1 3")
    for sign in (-1, 1):
        chart.path([(0.0, 0.0), (most, sign * most)], "#444444")
    for kind, read in enumerate(groups.values()):
        for row in read[:_MOST_MARKS]:
            chart.mark(min(row["U"], most), float(np.clip(row["error"], -reach, reach)), kind)
    chart.key(list(groups))
    return chart


def error_over_u(rows: Sequence[Row]) -> Chart | None:
    """Histogram of error over standard uncertainty, beside the normal distribution that U stands for."""
    ratio = np.array([1.96 * row["error"] / row["U"] for row in readings(rows)])
    if not len(ratio):
        return None
    edges = np.arange(-5.0, 5.01, 0.25)
    count, _ = np.histogram(np.clip(ratio, -4.99, 4.99), edges)
    share = count / len(ratio) / 0.25
    chart = Chart(
        f"Error over its standard uncertainty: {len(ratio)} readings",
        f"Mean {ratio.mean():+.2f}, sd {ratio.std():.2f}; the curve is the normal distribution. "
        "The outermost steps hold what lies beyond.",
        "error / (U / 1.96)",
        "density",
        (-5.0, 5.0),
        (0.0, 1.1 * max(0.45, float(share.max()))),
    )
    steps = [(x, float(y)) for y, pair in zip(share, pairwise(edges), strict=True) for x in pair]
    chart.path([(float(x), y) for x, y in steps], COLOURS[0])
    x = np.linspace(-5, 5, 101)
    chart.path([(float(a), float(b)) for a, b in zip(x, norm.pdf(x), strict=True)], COLOURS[1])
    return chart


def error_by_cell(rows: Sequence[Row], key: str) -> Chart | None:
    """Median and middle 95 % of the errors in every cell of a name, a mark for each set."""
    groups = {name: [r for r in readings(s) if key in r["cell"]] for name, s in sets_of(rows).items()}
    groups = {name: read for name, read in groups.items() if read}
    if not groups:
        return None
    cells = sorted({row["cell"][key] for read in groups.values() for row in read}, key=_first_number)
    spans = []
    for kind, read in enumerate(groups.values()):
        for place, cell in enumerate(cells):
            error = [row["error"] for row in read if row["cell"][key] == cell]
            if error:
                at = place + 1 + 0.2 * (kind - (len(groups) - 1) / 2)
                spans.append((kind, at, *map(float, np.quantile(error, [0.025, 0.5, 0.975]))))
    # One gross error in a small cell must not press everything else flat.
    reach = 1.2 * float(np.quantile([max(-low, high) for _, _, low, _, high in spans], 0.9)) or 0.1
    chart = Chart(
        f"Error by {key}",
        f"Median and middle 95 % of the errors; what reaches beyond {reach:.2f} mm is cut there.",
        key,
        "error, mm",
        (0.5, len(cells) + 0.5),
        (-reach, reach),
        [(place + 1.0, cell) for place, cell in enumerate(cells)],
    )
    chart.level(0.0, "#999999", dashes="1 3")
    for kind, at, *levels in spans:
        low, middle, high = (float(np.clip(level, -reach, reach)) for level in levels)
        chart.path([(at, low), (at, high)], COLOURS[kind % len(COLOURS)])
        chart.mark(at, middle, kind)
    chart.key(list(groups))
    return chart


def refusals(rows: Sequence[Row]) -> Chart | None:
    """The share refused for each cause, in each set; the causes stand at the right, by number."""
    groups = sets_of(rows)
    causes = Counter(row["cause"] for row in rows if row["status"] == "refused")
    if not causes:
        return None
    names = [name for name, _ in causes.most_common(_MOST_CAUSES)]
    shares = [
        [sum(row.get("cause") == name for row in subset) / len(subset) for name in names]
        for subset in groups.values()
    ]
    top = 1.1 * max(max(share) for share in shares)
    chart = Chart(
        "Refused, by cause",
        "; ".join(f"{number}: {name}" for number, name in enumerate(names, 1)),
        "cause",
        "share of photos",
        (0.5, len(names) + 0.5),
        (0.0, top),
        [(place + 1.0, str(place + 1)) for place in range(len(names))],
    )
    for kind, share in enumerate(shares):
        for place, value in enumerate(share):
            at = place + 1.0 + 0.15 * (kind - (len(shares) - 1) / 2)
            chart.path([(at, 0.0), (at, value)], COLOURS[kind % len(COLOURS)])
            chart.mark(at, value, kind)
    chart.key(list(groups))
    for number, name in enumerate(names, 1):
        chart.level(top * (0.72 - 0.05 * number), "none", f"{number} {name}")
    return chart


def _first_number(name: str) -> tuple[float, str]:
    digits = name.replace("°", " ").split(maxsplit=1)[0].replace("−", "-")
    try:
        return float(digits), name
    except ValueError:
        return 0.0, name
