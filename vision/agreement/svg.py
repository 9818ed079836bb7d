"""A chart as SVG text: two axes with round steps, marks that differ in shape, bands and lines.

Written by hand because it is little, and because a picture in a record should
not depend on a drawing library's version.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from html import escape

Span = tuple[float, float]
SHAPES = ("circle", "square", "triangle", "diamond", "cross")
# Told apart by shape first; the colours are Okabe and Ito's, for colour-blind readers too (from memory).
COLOURS = ("#0072b2", "#d55e00", "#009e73", "#cc79a7", "#000000")
_WIDTH, _HEIGHT = 720, 440
_LEFT, _RIGHT, _TOP, _BOTTOM = 72, 150, 48, 56
_MARK = 4.5
_LINE = 15  # height of a line of letters


def round_step(span: float, most: int = 7) -> float:
    """Return a step of 1, 2 or 5 times a power of ten; at most `most` of them lie in `span` (> 0)."""
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    return next(power * m for m in (1, 2, 5, 10) if power * m >= rough * (1 - 1e-12))


def ticks(span: Span) -> list[float]:
    """Return the round numbers within a span."""
    step = round_step(span[1] - span[0])
    first, last = math.ceil(span[0] / step - 1e-9), math.floor(span[1] / step + 1e-9)
    return [k * step for k in range(first, last + 1)]


def number(value: float, step: float) -> str:
    """Return a number with as many decimals as its step needs, with a true minus sign."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    text = f"{value:.{decimals}f}"
    return text.replace("-", "−") if float(text) else f"{0:.{decimals}f}"


@dataclass
class Chart:
    """One chart; marks are added in data units, `text` gives the whole.

    Attributes
    ----------
    title, description : str
        Read out by screen readers; the title also stands above the chart.
    x_label, y_label : str
    x, y : (low, high)
        What the axes span.
    x_names : sequence of (place, name), optional
        In the place of numbers along x.
    """

    title: str
    description: str
    x_label: str
    y_label: str
    x: Span
    y: Span
    x_names: Sequence[tuple[float, str]] | None = None
    _parts: list[str] = field(default_factory=list)
    _labels: list[tuple[float, str]] = field(default_factory=list)

    def place(self, x: float, y: float) -> tuple[float, float]:
        """Return SVG units of a point."""
        wide, high = _WIDTH - _LEFT - _RIGHT, _HEIGHT - _TOP - _BOTTOM
        across = (x - self.x[0]) / (self.x[1] - self.x[0])
        up = (y - self.y[0]) / (self.y[1] - self.y[0])
        return round(_LEFT + wide * across, 2), round(_HEIGHT - _BOTTOM - high * up, 2)

    def band(self, low: float, high: float, colour: str) -> None:
        """Shade what lies between two heights."""
        (x0, y0), (x1, y1) = self.place(self.x[0], high), self.place(self.x[1], low)
        self._parts.append(
            f'<rect x="{x0}" y="{y0}" width="{x1 - x0:.2f}" height="{y1 - y0:.2f}" '
            f'fill="{colour}" fill-opacity="0.18"/>'
        )

    def level(self, y: float, colour: str, label: str = "", dashes: str = "") -> None:
        """Draw a line across, its label at the right."""
        (x0, at), (x1, _) = self.place(self.x[0], y), self.place(self.x[1], y)
        dash = f' stroke-dasharray="{dashes}"' if dashes else ""
        self._parts.append(
            f'<line x1="{x0}" y1="{at}" x2="{x1}" y2="{at}" stroke="{colour}" stroke-width="1.5"{dash}/>'
        )
        if label:
            self._labels.append((at + 4, label))

    def path(self, points: Sequence[tuple[float, float]], colour: str) -> None:
        """Join points by straight lines."""
        at = " ".join(f"{x},{y}" for x, y in (self.place(*point) for point in points))
        self._parts.append(f'<polyline points="{at}" fill="none" stroke="{colour}" stroke-width="1.2"/>')

    def mark(self, x: float, y: float, kind: int = 0) -> None:
        """Draw one mark of a kind: its own shape and colour."""
        self._parts.append(_mark(*self.place(x, y), kind))

    def key(self, names: Sequence[str]) -> None:
        """Explain the kinds of marks at the right."""
        for kind, name in enumerate(names):
            y = _TOP + 14 + 22 * kind
            self._parts += [_mark(_WIDTH - _RIGHT + 16, y, kind), _text(_WIDTH - _RIGHT + 28, y + 4, name)]

    def text(self) -> str:
        """Return the SVG document."""
        right, bottom = _WIDTH - _RIGHT, _HEIGHT - _BOTTOM
        head = [
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {_HEIGHT}" role="img" '
            'font-family="sans-serif" font-size="13">',
            f"<title>{escape(self.title)}</title>",
            f"<desc>{escape(self.description)}</desc>",
            f'<rect width="{_WIDTH}" height="{_HEIGHT}" fill="#ffffff"/>',
            _text(_LEFT, 26, self.title, size=16),
        ]
        frame = [
            f'<rect x="{_LEFT}" y="{_TOP}" width="{right - _LEFT}" height="{bottom - _TOP}" '
            'fill="none" stroke="#444444"/>',
            *self._axis_x(bottom),
            *self._axis_y(),
            _text((_LEFT + right) / 2, _HEIGHT - 14, self.x_label, anchor="middle"),
            _text(18, (_TOP + bottom) / 2, self.y_label, anchor="middle", turn=True),
        ]
        return "\n".join([*head, *frame, *self._parts, *self._beside(), "</svg>", ""])

    def _beside(self) -> list[str]:
        """The levels' labels, from the top, each moved down where it would cover the one before."""
        lines: list[str] = []
        free = -math.inf
        for wanted, label in sorted(self._labels):
            y = max(wanted, free)
            lines.append(_text(_WIDTH - _RIGHT + 6, round(y, 2), label))
            free = y + _LINE
        return lines

    def _axis_x(self, bottom: float) -> list[str]:
        step = round_step(self.x[1] - self.x[0])
        named = self.x_names or [(value, number(value, step)) for value in ticks(self.x)]
        lines = []
        for value, name in named:
            x, _ = self.place(value, self.y[0])
            lines.append(f'<line x1="{x}" y1="{bottom}" x2="{x}" y2="{bottom + 5}" stroke="#444444"/>')
            lines.append(_text(x, bottom + 20, name, anchor="middle"))
        return lines

    def _axis_y(self) -> list[str]:
        step = round_step(self.y[1] - self.y[0])
        lines = []
        for value in ticks(self.y):
            _, y = self.place(self.x[0], value)
            lines.append(f'<line x1="{_LEFT - 5}" y1="{y}" x2="{_LEFT}" y2="{y}" stroke="#444444"/>')
            lines.append(_text(_LEFT - 8, y + 4, number(value, step), anchor="end"))
        return lines


def _text(
    x: float, y: float, words: str, *, anchor: str = "start", size: int = 13, turn: bool = False
) -> str:
    how = f' transform="rotate(-90 {x} {y})"' if turn else ""
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}" font-size="{size}"{how}>{escape(words)}</text>'


def _mark(x: float, y: float, kind: int) -> str:
    shape, colour, r = SHAPES[kind % len(SHAPES)], COLOURS[kind % len(COLOURS)], _MARK
    if shape == "circle":
        return f'<circle cx="{x}" cy="{y}" r="{r}" fill="none" stroke="{colour}" stroke-width="1.8"/>'
    corners = {
        "square": [(-r, -r), (r, -r), (r, r), (-r, r), (-r, -r)],
        "triangle": [(-r, r), (r, r), (0, -r), (-r, r)],
        "diamond": [(0, -r), (r, 0), (0, r), (-r, 0), (0, -r)],
        "cross": [(-r, -r), (r, r), (0, 0), (-r, r), (r, -r)],
    }[shape]
    at = " ".join(f"{x + dx:.2f},{y + dy:.2f}" for dx, dy in corners)
    return f'<polyline points="{at}" fill="none" stroke="{colour}" stroke-width="1.8"/>'
