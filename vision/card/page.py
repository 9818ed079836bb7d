"""Primitives and words put on A4 pages; the only file here that knows the PDF library."""

from fpdf import FPDF, ViewerPreferences
from fpdf.enums import IntersectionRule

from vision.card.instructions import Section
from vision.card.primitives import Box, Disc, Primitive, Shape, Words, srgb_code
from vision.errors import CardError

PAGE_MM = (210.0, 297.0)
_FONT = "Helvetica"
_LETTERS = "latin-1"  # what the PDF's built-in font can write
Loop = tuple[tuple[float, float], ...]
_BODY_PT, _LEADING_MM = 9.5, 4.7


class Page:
    """A PDF in the making; primitives are relative to the origin given to `start`."""

    def __init__(self, title: str) -> None:
        self._pdf = FPDF(unit="mm", format="A4")
        self._pdf.set_auto_page_break(False)
        self._pdf.set_margin(0)
        self._pdf.c_margin = 0
        self._pdf.set_title(title)
        # Asks the viewer's print dialog not to shrink the page.
        self._pdf.viewer_preferences = ViewerPreferences(print_scaling="None")
        self._origin = (0.0, 0.0)

    def start(self, origin_mm: tuple[float, float] = (0.0, 0.0)) -> None:
        """Begin a page whose drawing's origin lies at `origin_mm` on the paper."""
        self._pdf.add_page()
        self._origin = origin_mm

    def draw(self, item: Primitive) -> None:
        """Put one primitive on the page."""
        if isinstance(item, Words):
            self._write(item)
        elif isinstance(item, Disc):
            self._pdf.set_fill_color(srgb_code(item.grey))
            x, y = self._origin[0] + item.x, self._origin[1] + item.y
            self._pdf.circle(x, y, item.diameter / 2, style="F")
        elif isinstance(item, Shape):
            self._fill(item.loops, item.grey)
        else:
            self._fill((_box_loop(item),), item.grey)

    def title(self, x: float, y: float, text: str, copy: str) -> None:
        """Write the page's title with the copy's number below, from (x, y) on the paper."""
        self._font(14.0, bold=True)
        self._pdf.text(x, y, _printable(text))
        self._font(11.0)
        width = self._pdf.get_string_width(copy)
        self._pdf.text(PAGE_MM[0] - 18.0 - width, y, copy)

    def section(self, section: Section, x: float, y: float, width: float) -> float:
        """Write a section from (x, y) on the paper; return where the next one may begin."""
        self._font(10.5, bold=True)
        self._pdf.text(x, y + 3.5, _printable(section.heading))
        y += 5.5
        self._font(_BODY_PT)
        self._pdf.set_xy(x, y)
        self._pdf.multi_cell(width, _LEADING_MM, _printable(section.text), align="L")
        y = float(self._pdf.get_y())
        for row in section.fields:
            y += 9.0
            for index, label in enumerate(row):
                room = (width - 5.0 * (len(row) - 1)) / len(row)
                self._blank(x + index * (room + 5.0), y, room, label)
        return y + (8.0 if section.fields else 5.5)

    def width_of(self, words: Words) -> float:
        """Return how wide `words` will be, in mm."""
        self._font(words.size_pt, bold=words.bold)
        return float(self._pdf.get_string_width(_printable(words.text)))

    def finish(self) -> bytes:
        """Return the file's bytes."""
        return bytes(self._pdf.output())

    def _fill(self, loops: tuple[Loop, ...], grey: float) -> None:
        code = srgb_code(grey)
        x0, y0 = self._origin
        with self._pdf.new_path() as path:
            path.style.fill_color = f"#{code:02x}{code:02x}{code:02x}"
            path.style.stroke_color = None
            path.style.intersection_rule = IntersectionRule.EVENODD
            for loop in loops:
                path.move_to(x0 + loop[0][0], y0 + loop[0][1])
                for x, y in loop[1:]:
                    path.line_to(x0 + x, y0 + y)
                path.close()

    def _blank(self, x: float, y: float, width: float, label: str) -> None:
        """A label and a line to write on behind it."""
        self._pdf.text(x, y, label)
        used = self._pdf.get_string_width(label) + 1.5
        self._pdf.set_fill_color(srgb_code(0.4))
        self._pdf.rect(x + used, y + 0.4, width - used, 0.15, style="F")

    def _write(self, words: Words) -> None:
        share = {"left": 0.0, "middle": 0.5, "right": 1.0}[words.anchor]
        width = self.width_of(words)
        self._pdf.set_text_color(srgb_code(words.grey))
        x, y = self._origin[0] + words.x, self._origin[1] + words.y
        with self._pdf.rotation(-words.turn_deg, x, y):
            self._pdf.text(x - share * width, y, _printable(words.text))

    def _font(self, size_pt: float, *, bold: bool = False) -> None:
        self._pdf.set_font(_FONT, style="B" if bold else "", size=size_pt)
        self._pdf.set_text_color(0)


def _box_loop(box: Box) -> Loop:
    """The box's corners, and a point more on its top side.

    Renderers round a plain rectangle outward to whole pixels, which would lengthen
    a check bar by up to two of them; an outline of five points they weigh truly.
    """
    right, bottom = box.x + box.width, box.y + box.height
    middle = box.x + box.width / 2
    return (box.x, box.y), (middle, box.y), (right, box.y), (right, bottom), (box.x, bottom)


def _printable(text: str) -> str:
    try:
        text.encode(_LETTERS)
    except UnicodeEncodeError as error:
        msg = f"{text!r}: the letter {text[error.start]!r} cannot be printed; write it with Latin letters."
        raise CardError(msg) from error
    return text
