"""The work record's paper: A4 pages with head and foot, headings, tables and pictures.

PDF/A-3 with Unicode (ISO 19005-3, conformance level U): it must be read in many years and may
carry files.  fpdf2 refuses what that standard forbids; the two fonts lie in `fonts`.
"""

import io
from collections.abc import Sequence
from importlib import resources

from fpdf import FPDF
from fpdf.enums import TableBordersLayout, VAlign, XPos, YPos
from fpdf.fonts import FontFace
from fpdf.image_parsing import preload_image

TEXT, SMALL, LARGE = 9.0, 7.5, 20.0
_MARGIN, _FOOT = 16.0, 14.0
_INK, _GREY, _RULE, _PALE = (22, 28, 36), (92, 102, 112), (178, 186, 194), (240, 243, 245)
_WARN = (253, 243, 220)


class Sheet(FPDF):
    """Pages that name in their head what they belong to and in their foot where they stand.

    Parameters
    ----------
    head, foot : str
        Left part of either; the foot ends with the page's number.
    """

    def __init__(self, head: str, foot: str) -> None:
        super().__init__(format="A4", enforce_compliance="PDF/A-3U")
        self._head, self._foot = head, foot
        fonts = resources.files("app.record") / "fonts"
        for style, name in (("", "Regular"), ("B", "Semibold")):
            with resources.as_file(fonts / f"SourceSansPro-{name}.ttf") as path:
                self.add_font("text", style, path)
        self.set_margins(_MARGIN, _MARGIN, _MARGIN)
        self.set_auto_page_break(True, _FOOT + 6)
        self.set_lang("en-GB")
        self.set_text_color(*_INK)
        self.set_draw_color(*_RULE)

    def header(self) -> None:
        """What the page belongs to; called by fpdf2."""
        self.set_y(8)
        self._small(self._head)
        self.line(_MARGIN, 13.5, self.w - _MARGIN, 13.5)
        self.set_y(_MARGIN + 2)

    def footer(self) -> None:
        """Chain head and page number; called by fpdf2."""
        self.set_y(-_FOOT)
        self.line(_MARGIN, self.get_y(), self.w - _MARGIN, self.get_y())
        self.set_y(-_FOOT + 1.5)
        self._small(self._foot)
        self.set_y(-_FOOT + 1.5)
        self._small(f"page {self.page_no()} of {{nb}}", align="R")

    def _small(self, text: str, align: str = "L") -> None:
        self.set_font("text", "", SMALL)
        self.set_text_color(*_GREY)
        self.cell(0, 4, text, align=align)
        self.set_text_color(*_INK)

    def title_line(self, text: str) -> None:
        """The document's title."""
        self.set_font("text", "B", LARGE)
        self.multi_cell(0, 9, text, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ln(1)

    def heading(self, text: str, room: float = 24.0) -> None:
        """A heading with at least `room` mm of page below it; it is in the document's outline too."""
        if self.will_page_break(room):
            self.add_page()
        self.ln(3)
        self.start_section(text)
        self.set_font("text", "B", 12.5)
        self.multi_cell(0, 6, text, new_x=XPos.LMARGIN, new_y=YPos.NEXT)
        self.ln(1)

    def says(self, text: str, warn: bool = False) -> None:
        """A paragraph; `warn` puts it into a box."""
        self.set_font("text", "", TEXT)
        self.set_fill_color(*_WARN)
        self.multi_cell(
            0, 4.6, text, fill=warn, padding=2 if warn else 0, new_x=XPos.LMARGIN, new_y=YPos.NEXT
        )
        self.set_fill_color(255)
        self.ln(1.5)

    def pairs(self, rows: Sequence[tuple[str, str]]) -> None:
        """Names and what they are, two columns."""
        self.set_font("text", "", TEXT)
        with self.table(
            col_widths=(28, 72), first_row_as_headings=False, line_height=4.6,
            borders_layout=TableBordersLayout.HORIZONTAL_LINES, text_align="LEFT", padding=0.8,
            v_align=VAlign.T,
        ) as table:  # fmt: skip
            for name, told in rows:
                row = table.row()
                row.cell(name, style=FontFace(emphasis="", color=_GREY))
                row.cell(told or "–")
        self.ln(1)

    def rows(
        self,
        heads: Sequence[str],
        rows: Sequence[Sequence[str]],
        widths: Sequence[float],
        struck: Sequence[bool] = (),
    ) -> None:
        """A table whose heads stand on every page; of `struck` rows only the first two columns stand."""
        self.set_font("text", "", 8)
        with self.table(
            col_widths=tuple(widths), line_height=4, padding=0.9, text_align="LEFT", v_align=VAlign.T,
            borders_layout=TableBordersLayout.HORIZONTAL_LINES,
            headings_style=FontFace(emphasis="BOLD", fill_color=_PALE, color=_INK),
        ) as table:  # fmt: skip
            table.row(list(heads))
            for number, told in enumerate(rows):
                gone = number < len(struck) and struck[number]
                face = FontFace(emphasis="STRIKETHROUGH", color=_GREY) if gone else None
                row = table.row()
                for column, text in enumerate(told):
                    row.cell(text or "\u00a0", style=face if column > 1 else None)
        self.ln(1.5)

    def pictures(self, shown: Sequence[tuple[bytes, str]], width: float = 86.0) -> None:
        """Pictures two in a row, each with its words below, never parted from them."""
        gap, high = self.epw - 2 * width, 112.0
        top = low = self.get_y()
        for number, (data, words) in enumerate(shown):
            left = number % 2 == 0
            if left and self.will_page_break(high + 16):
                self.add_page()
            if left:
                top = self.get_y()
            x = self.l_margin + (0 if left else width + gap)
            # In a box of another shape a picture is put into the middle, and its words would lie on it.
            tall = min(high, self._height_of(data, width))
            self.image(io.BytesIO(data), x=x, y=top, w=width, h=tall, keep_aspect_ratio=True, alt_text=words)
            self.set_xy(x, top + tall + 1)
            self.set_font("text", "", SMALL)
            self.multi_cell(width, 3.6, words, align="L", new_x=XPos.LMARGIN, new_y=YPos.NEXT)
            low = self.get_y() if left else max(low, self.get_y())
            self.set_y(low + 3)

    def _height_of(self, data: bytes, width: float) -> float:
        """How tall a picture is at this width, in its own shape, mm."""
        _, _, told = preload_image(self.image_cache, io.BytesIO(data))
        return width * told.height / told.width
