"""A value over time as a drawing: limits, U bars, every try, a drift and where it may lead.

Drawn twice, wide and for a phone, because letters that fit one are too small on the other.
Marks are told apart by shape: a filled disc stands, an open one was set aside, a square is by hand.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.screens.drawings.pen import Pen
from app.screens.palette import Palette
from app.trends import Drift, Point, Source

WIDE, NARROW = (720.0, 380.0), (360.0, 330.0)
_LEFT, _RIGHT, _TOP, _BOTTOM = 54.0, 14.0, 18.0, 44.0
_STEPS = (1, 2, 5, 10)


@dataclass(frozen=True)
class Scale:
    """What the axes span, and where a point of it lies on the sheet."""

    size: tuple[float, float]
    begin: datetime
    end: datetime
    low: float
    high: float

    def x(self, at: datetime) -> float:
        """Units across of a moment."""
        share = (at - self.begin) / (self.end - self.begin)
        return round(_LEFT + share * (self.size[0] - _LEFT - _RIGHT), 2)

    def y(self, value: float) -> float:
        """Units down of a value."""
        share = (value - self.low) / (self.high - self.low)
        return round(self.size[1] - _BOTTOM - share * (self.size[1] - _TOP - _BOTTOM), 2)


def chart(colours: Palette, points: Sequence[Point], drift: Drift | None, size: tuple[float, float]) -> str:
    """Return the drawing as SVG text; there must be a point."""
    pen = Pen(colours)
    scale = _scale(points, drift, size)
    shapes = [_frame(pen, scale), *_limits(pen, scale, points)]
    if drift is not None:
        shapes += _drift(pen, scale, drift)
    shapes += [_mark(pen, scale, point) for point in points]
    return pen.sheet(*size, *shapes)


def _scale(points: Sequence[Point], drift: Drift | None, size: tuple[float, float]) -> Scale:
    begin, end = min(p.at for p in points), max(p.at for p in points)
    if drift is not None:
        end = max(end, drift.last)
    room = max((end - begin) / 25, timedelta(hours=12))
    heights = [h for p in points for h in (p.value - p.expanded_u, p.value + p.expanded_u, p.lower, p.upper)]
    there = [h for h in heights if h is not None]
    low, high = min(there), max(there)
    pad = 0.08 * (high - low) or 1.0
    return Scale(size, begin - room, end + room, low - pad, high + pad)


def _frame(pen: Pen, scale: Scale) -> str:
    width, height = scale.size
    bottom = height - _BOTTOM
    parts = [
        pen.line([(_LEFT, _TOP), (_LEFT, bottom), (width - _RIGHT, bottom)], width=1.25),
        pen.words(_LEFT - 6, _TOP - 5, "mm", size=12, anchor="end"),
    ]
    step = _step((scale.high - scale.low) / 5)
    value = math.ceil(scale.low / step) * step
    while value < scale.high:
        y = scale.y(value)
        parts.append(pen.line([(_LEFT - 4, y), (_LEFT, y)], width=1.25))
        parts.append(pen.words(_LEFT - 8, y + 4, f"{value:g}", size=12, anchor="end"))
        value = round(value + step, 9)
    most = 6 if width > 500 else 3
    days = (scale.end - scale.begin).days or 1
    each = max(1, math.ceil(days / most))
    at = scale.begin.replace(hour=0, minute=0, second=0, microsecond=0) + timedelta(days=1)
    while at < scale.end:
        x = scale.x(at)
        if _LEFT + 24 < x < width - 30:
            parts.append(pen.line([(x, bottom), (x, bottom + 4)], width=1.25))
            parts.append(pen.words(x, bottom + 18, at.date().isoformat(), size=11))
        at += timedelta(days=each)
    return "".join(parts)


def _limits(pen: Pen, scale: Scale, points: Sequence[Point]) -> list[str]:
    """The limits as steps: each reading was held against those of its own day."""
    shapes = []
    for name in ("lower", "upper"):
        held = [(p.at, limit) for p in points if (limit := getattr(p, name)) is not None]
        if not held:
            continue
        course: list[tuple[float, float]] = [(_LEFT, scale.y(held[0][1]))]
        for at, limit in held:
            if scale.y(limit) != course[-1][1]:
                course += [(scale.x(at), course[-1][1]), (scale.x(at), scale.y(limit))]
        course.append((scale.size[0] - _RIGHT, course[-1][1]))
        shapes.append(pen.line(course, width=2, colour=pen.colours.outside, dash="8 4"))
        x, y = course[-1]
        below = 14 if name == "upper" else -5
        shapes.append(pen.words(x - 2, y + below, f"{name} limit {held[-1][1]:g}", size=12, anchor="end"))
    return shapes


def _drift(pen: Pen, scale: Scale, drift: Drift) -> list[str]:
    """The line, and the band in which a further reading lies with 95 %."""
    steps = 40
    whole = (drift.last - drift.since) / steps
    moments = [drift.since + k * whole for k in range(steps + 1)]
    days = [(at - drift.since).total_seconds() / 86400 for at in moments]

    def held(value: float) -> float:
        return scale.y(min(max(value, scale.low), scale.high))

    xs = [scale.x(at) for at in moments]
    upper = [(x, held(drift.interval(day)[1])) for x, day in zip(xs, days, strict=True)]
    lower = [(x, held(drift.interval(day)[0])) for x, day in zip(xs, days, strict=True)]
    ring = "M" + "L".join(f"{x} {y}" for x, y in [*upper, *reversed(lower)]) + "Z"
    band = f'<path d="{ring}" fill="{pen.colours.accent}" fill-opacity="0.16"/>'
    line = pen.line(
        [(x, held(drift.line(day))) for x, day in zip(xs, days, strict=True)],
        width=1.75,
        colour=pen.colours.accent,
    )
    return [band, line]


def _mark(pen: Pen, scale: Scale, point: Point) -> str:
    x, y = scale.x(point.at), scale.y(point.value)
    top, bottom = scale.y(point.value + point.expanded_u), scale.y(point.value - point.expanded_u)
    bar = pen.path(f"M{x} {top}V{bottom}M{x - 4} {top}h8M{x - 4} {bottom}h8", width=1.25)
    fill = pen.colours.ink if point.stands else pen.colours.sheet
    if point.source is Source.HAND:
        return bar + pen.box(round(x - 4.5, 2), round(y - 4.5, 2), 9, 9, fill=fill)
    return bar + pen.disc(x, y, 5, fill=fill)


def _step(rough: float) -> float:
    power = 10.0 ** math.floor(math.log10(rough))
    return next(power * m for m in _STEPS if power * m >= rough * (1 - 1e-9))
