"""Strokes of the drawings: SVG shapes in a few weights and fills, from one palette.

Coordinates are SVG units (x right, y down), about one CSS pixel at phone size.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from app.screens.palette import Palette

Point = tuple[float, float]

CHROME = ("#8d979d", "#eef1f2", "#59636a", "#c9d0d3")
BAND = "#c23b32"


@dataclass(frozen=True)
class Pen:
    """Draws in the colours of one palette."""

    colours: Palette

    def sheet(self, width: float, height: float, *shapes: str, ground: bool = True) -> str:
        """Return a whole drawing of that size, on its own ground or on the page's."""
        under = f'<rect width="{width}" height="{height}" fill="{self.colours.sheet}"/>' if ground else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" '
            f'height="{height}" font-family="sans-serif">{self._definitions()}{under}{"".join(shapes)}</svg>'
        )

    def path(
        self, d: str, *, fill: str = "none", width: float = 1.5, colour: str = "", dash: str = ""
    ) -> str:
        """Return a path outlined in ink."""
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        return (
            f'<path d="{d}" fill="{fill}" stroke="{colour or self.colours.ink}" stroke-width="{width}"'
            f' stroke-linejoin="round" stroke-linecap="round"{dashed}/>'
        )

    def box(
        self, x: float, y: float, w: float, h: float, *, fill: str, r: float = 0, width: float = 1.5
    ) -> str:
        """Return a rectangle outlined in ink, its corners rounded by `r`."""
        stroke = f'stroke="{self.colours.ink}" stroke-width="{width}"'
        return f'<rect x="{x}" y="{y}" width="{w}" height="{h}" rx="{r}" fill="{fill}" {stroke}/>'

    def disc(self, x: float, y: float, r: float, *, fill: str, width: float = 1.5) -> str:
        """Return a circle outlined in ink."""
        stroke = f'stroke="{self.colours.ink}" stroke-width="{width}"'
        return f'<circle cx="{x}" cy="{y}" r="{r}" fill="{fill}" {stroke}/>'

    def line(self, points: Sequence[Point], *, width: float = 1.5, colour: str = "", dash: str = "") -> str:
        """Return an open course of straight lines."""
        return self.path("M" + "L".join(f"{x} {y}" for x, y in points), width=width, colour=colour, dash=dash)

    def balloon(self, number: int, at: Point, to: Point | None = None) -> str:
        """Return a numbered balloon, with a leader to the place it speaks of."""
        x, y = at
        leader = (
            "" if to is None else self.line([at, to], width=1.25) + self.disc(*to, 2.5, fill=self.colours.ink)
        )
        return (
            leader
            + self.disc(x, y, 12, fill=self.colours.sheet, width=1.75)
            + f'<text x="{x}" y="{y + 5.2}" text-anchor="middle" font-size="15" font-weight="700" '
            f'fill="{self.colours.ink}">{number}</text>'
        )

    def words(self, x: float, y: float, what: str, *, size: float = 14, anchor: str = "middle") -> str:
        """Return a few fixed words; they are the drawing's own, so nothing is escaped."""
        return (
            f'<text x="{x}" y="{y}" text-anchor="{anchor}" font-size="{size}" font-weight="600" '
            f'fill="{self.colours.ink}">{what}</text>'
        )

    def danger(self, d: str) -> str:
        """Return a zone that nobody stands in: hatched, with a heavy broken edge."""
        edge = self.path(d, fill="url(#danger)", width=2, colour=self.colours.outside, dash="7 4")
        return f'<path d="{d}" fill="{self.colours.sheet}"/>{edge}'

    def phone(self, x: float, y: float, angle_deg: float) -> str:
        """Return a phone seen from its side at (x, y); its lens looks along `angle_deg` (0 = left)."""
        body = self.box(-5, -19, 10, 38, fill=self.colours.ink, r=3)
        lens = self.box(-9, -15, 5, 9, fill=self.colours.soft, r=1.5, width=1)
        return f'<g transform="translate({x} {y}) rotate({angle_deg})">{body}{lens}</g>'

    def feet(self, x: float, y: float, angle_deg: float) -> str:
        """Return a pair of footprints: somebody stands here, looking along `angle_deg` (0 = up)."""
        foot = self.path("M-6 6 C-10 4-10-8-6-8 C-2-8-2 4-6 6Z", fill=self.colours.accent, width=1)
        other = self.path("M6 6 C10 4 10-8 6-8 C2-8 2 4 6 6Z", fill=self.colours.accent, width=1)
        return f'<g transform="translate({x} {y}) rotate({angle_deg})">{foot}{other}</g>'

    def cross(self, x: float, y: float, r: float = 11) -> str:
        """Return the mark of how not to do it."""
        strokes = f"M{x - r} {y - r}L{x + r} {y + r}M{x + r} {y - r}L{x - r} {y + r}"
        return self.path(strokes, width=7, colour=self.colours.sheet) + self.path(
            strokes, width=4, colour=self.colours.outside
        )

    def tick(self, x: float, y: float, r: float = 11) -> str:
        """Return the mark of how to do it."""
        strokes = f"M{x - r} {y}L{x - r * 0.2} {y + r * 0.8}L{x + r} {y - r * 0.8}"
        return self.path(strokes, width=7, colour=self.colours.sheet) + self.path(
            strokes, width=4, colour=self.colours.within
        )

    def _definitions(self) -> str:
        dark, bright, darker, light = CHROME
        stops = zip((0, 0.22, 0.4, 0.62, 0.8, 1), (darker, bright, dark, light, darker, dark), strict=True)
        chrome = "".join(f'<stop offset="{at}" stop-color="{colour}"/>' for at, colour in stops)
        return (
            f'<defs><linearGradient id="chrome">{chrome}</linearGradient>'
            '<pattern id="danger" width="9" height="9" patternUnits="userSpaceOnUse" '
            'patternTransform="rotate(45)">'
            f'<path d="M0 0V9" stroke="{self.colours.outside}" stroke-width="3"/></pattern></defs>'
        )
