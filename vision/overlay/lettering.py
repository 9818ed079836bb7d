"""Words on the sheet: the bundled font, what it lacks, wrapping and boxes."""

import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from PIL import Image, ImageDraw, ImageFont

from vision.overlay.palette import INK, Colour

CAP_HEIGHT = 0.7
"""Height of a capital over the size of the bundled font (measured: "H" is 28 px high at 40)."""

# The bundled font holds ASCII and a few signs.  Words for signs that matter in a number come first;
# accents are taken off, and a letter that is still missing shows as "?", never as nothing.
_SPELLED = {"×": "x", "–": "-", "—": "-", "−": "-", "≈": "about ", "≤": "at most ", "≥": "at least ",
            "µ": "u", "μ": "u", "′": "'", "″": '"', "⁄": "/", "ß": "ss", "ø": "o", "Ø": "O", "æ": "ae",
            "Æ": "AE", "ł": "l", "Ł": "L", "\u00a0": " "}  # fmt: skip
_VULGAR = {"¼": "1/4", "½": "1/2", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}


@lru_cache(maxsize=64)
def font(size: int) -> ImageFont.FreeTypeFont:
    """Return Pillow's bundled scalable font.

    Raises
    ------
    RuntimeError
        If Pillow was built without FreeType.
    """
    loaded = ImageFont.load_default(size)
    if not isinstance(loaded, ImageFont.FreeTypeFont):
        msg = "Pillow lacks FreeType, so there is no scalable font to letter with: install Pillow's own wheel"
        raise RuntimeError(msg)
    return loaded


@lru_cache(maxsize=4096)
def has_glyph(letter: str) -> bool:
    """Return whether the bundled font draws this letter, and not its sign for a missing one."""
    face = font(40)
    # U+10FFFD is private for ever, so what is drawn for it is the sign for a missing letter.
    return letter.isspace() or bytes(face.getmask(letter)) != bytes(face.getmask("\U0010fffd"))


def plain(text: str) -> str:
    """Return the text on one line in letters that the bundled font has."""
    text = "".join(f" {_VULGAR[letter]} " if letter in _VULGAR else letter for letter in text)
    letters = (part for letter in text for part in _shown(letter))
    return " ".join("".join(letters).split())


def _shown(letter: str) -> str:
    if letter.isspace():
        return " "
    if unicodedata.category(letter).startswith("C"):
        return ""
    if has_glyph(letter):
        return letter
    if letter in _SPELLED:
        return _SPELLED[letter]
    parts = unicodedata.normalize("NFKD", letter)
    kept = "".join(part for part in parts if not unicodedata.combining(part) and has_glyph(part))
    return kept or "?"


def length(text: str, size: int) -> float:
    """Return the width of a line, px."""
    return font(size).getlength(text)


def wrap(text: str, size: int, width: float, most_lines: int = 8) -> list[str]:
    """Break a text into lines no wider than `width` px; what exceeds `most_lines` ends in "…"."""
    lines: list[str] = []
    line = ""
    for word in plain(text).split(" "):
        wider = f"{line} {word}".strip()
        if length(wider, size) <= width:
            line = wider
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, size, width)
        lines += full
    if line:
        lines.append(line)
    _keep_company(lines, size, width)
    if len(lines) > most_lines:
        last = lines[most_lines - 1]
        while last and length(last + "…", size) > width:
            last = last[:-1]
        lines = [*lines[: most_lines - 1], last + "…"]
    return lines


def _keep_company(lines: list[str], size: int, width: float) -> None:
    """Give a short word alone on the last line the word before it, in place."""
    if len(lines) < 2 or len(lines[-1]) > 5 or lines[-2].count(" ") < 2:
        return
    rest, last = lines[-2].rsplit(" ", 1)
    if length(f"{last} {lines[-1]}", size) <= width:
        lines[-2:] = [rest, f"{last} {lines[-1]}"]


def _pieces(word: str, size: int, width: float) -> Sequence[str]:
    """Cut a word that is wider than a line; one letter at least goes on each."""
    pieces = [""]
    for letter in word:
        if pieces[-1] and length(pieces[-1] + letter, size) > width:
            pieces.append("")
        pieces[-1] += letter
    return pieces


@dataclass(frozen=True)
class Word:
    """A line of text: left end and baseline in px, `weight` px of stroke added around each letter."""

    text: str
    x: float
    baseline: float
    size: int
    colour: Colour = INK
    weight: int = 0
    halo: Colour | None = None

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, top, right, bottom of the ink, px."""
        left, top, right, bottom = font(self.size).getbbox(self.text, anchor="ls", stroke_width=self.weight)
        return self.x + left, self.baseline + top, self.x + right, self.baseline + bottom


def letter(image: Image.Image, words: Sequence[Word]) -> None:
    """Draw words on an RGB image, in place."""
    pen = ImageDraw.Draw(image)
    for word in words:
        pen.text(
            (word.x, word.baseline),
            word.text,
            fill=word.colour,
            font=font(word.size),
            anchor="ls",
            stroke_width=word.weight,
            stroke_fill=word.halo or word.colour,
        )
