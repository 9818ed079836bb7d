"""The pictures of the two studies, as SVG text."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from vision.agreement.gauge import GaugeStudy
from vision.agreement.limits import LimitsOfAgreement
from vision.agreement.svg import COLOURS, Chart, number, round_step

_BIAS, _LIMIT, _HOLD = "#0072b2", "#d55e00", "#555555"


def difference_plot(
    limits: LimitsOfAgreement,
    first: ArrayLike,
    second: ArrayLike,
    *,
    names: tuple[str, str] = ("photo", "hand"),
    unit: str = "mm",
) -> str:
    """Return the difference of each pair over its mean, with bias, limits and their confidence.

    Parameters
    ----------
    limits : LimitsOfAgreement
        Of these readings.
    first, second : (N,) array_like
    names : (str, str)
        What the two ways are called.

    Raises
    ------
    ValueError
        The readings are not those of `limits`.
    """
    a, b = np.asarray(first, float), np.asarray(second, float)
    if a.shape != b.shape or len(a) != limits.n or not np.isclose((a - b).mean(), limits.mean):
        msg = "the readings are not those that the limits were computed from: give the same two lists"
        raise ValueError(msg)
    size, difference = (a + b) / 2, a - b
    heights = [0.0, *limits.holding, limits.lower_interval[0], limits.upper_interval[1], *difference]
    y = _span(heights)
    step = round_step(y[1] - y[0]) / 10
    chart = Chart(
        f"{names[0]} minus {names[1]}: {limits.n} pairs",
        f"Bias {number(limits.mean, step)} {unit}; limits of agreement {number(limits.lower, step)} to "
        f"{number(limits.upper, step)} {unit}; {limits.confidence:.0%} sure to hold "
        f"{limits.probability:.0%} of differences: {number(limits.holding[0], step)} to "
        f"{number(limits.holding[1], step)} {unit}.",
        f"mean of {names[0]} and {names[1]}, {unit}",
        f"{names[0]} − {names[1]}, {unit}",
        _span(size),
        y,
    )
    chart.band(*limits.mean_interval, _BIAS)
    chart.band(*limits.lower_interval, _LIMIT)
    chart.band(*limits.upper_interval, _LIMIT)
    chart.level(0.0, "#999999", dashes="1 3")
    for value, colour, dashes, label in (
        (limits.mean, _BIAS, "", "bias"),
        (limits.lower, _LIMIT, "7 4", "limit"),
        (limits.upper, _LIMIT, "7 4", "limit"),
        (limits.holding[0], _HOLD, "2 3", "shown"),
        (limits.holding[1], _HOLD, "2 3", "shown"),
    ):
        chart.level(value, colour, f"{label} {number(value, step)} {unit}", dashes)
    for point in zip(size, difference, strict=True):
        chart.mark(float(point[0]), float(point[1]), kind=4)
    return chart.text()


def gauge_plot(
    study: GaugeStudy, readings: ArrayLike, *, people: Sequence[str] | None = None, unit: str = "mm"
) -> str:
    """Return every reading off its part's mean, a kind of mark for each person, their means joined.

    Parameters
    ----------
    study : GaugeStudy
        Of these readings.
    readings : (people, parts, trials) array_like
    people : sequence of str, optional
        What the people are called (roles or letters); numbers otherwise.

    Raises
    ------
    ValueError
        The readings are not of the study's shape, or names are missing.
    """
    x = np.asarray(readings, float)
    if x.shape != (study.people, study.parts, study.trials):
        msg = f"readings of the study's shape were expected, got {x.shape}: give the same readings"
        raise ValueError(msg)
    called = [f"person {k + 1}" for k in range(study.people)] if people is None else list(people)
    if len(called) != study.people:
        msg = f"{study.people} people need as many names, got {len(called)}"
        raise ValueError(msg)
    off = x - x.mean(axis=(0, 2))[None, :, None]
    y = _span([*off.ravel(), 0.0])
    categories = study.distinct_categories
    chart = Chart(
        f"Gauge study: {study.gauge_percent:.0f} % of the spread is the gauge's ({study.grade})",
        f"{study.people} people, {study.parts} parts, {study.trials} trials; repeatability "
        f"{study.repeatability:.3g} {unit}, reproducibility {study.reproducibility:.3g} {unit}, parts "
        f"{study.part:.3g} {unit}, distinct categories {'not told' if categories is None else categories}.",
        "part",
        f"reading − mean of its part, {unit}",
        (0.5, study.parts + 0.5),
        y,
        [(part + 1.0, str(part + 1)) for part in range(study.parts)],
    )
    chart.level(0.0, "#999999", dashes="1 3")
    for person in range(study.people):
        beside = 0.5 * ((person + 0.5) / study.people - 0.5)
        places = np.arange(1, study.parts + 1) + beside
        means = off[person].mean(axis=1)
        chart.path(
            [(float(p), float(m)) for p, m in zip(places, means, strict=True)], COLOURS[person % len(COLOURS)]
        )
        for part, place in enumerate(places):
            for value in off[person, part]:
                chart.mark(float(place), float(value), person)
    chart.key(called)
    return chart.text()


def _span(values: ArrayLike) -> tuple[float, float]:
    """A span that holds all values, a twentieth of it free at either end."""
    v = np.asarray(values, float)
    low, high = float(v.min()), float(v.max())
    room = 0.05 * (high - low) or 0.5
    return low - room, high + room
