"""The strip above the picture: name, value ± U, verdict, limits; or why there is no value."""

import math

from vision.notes import EXTENSION_ONLY
from vision.overlay.lettering import CAP_HEIGHT, Word, length, wrap
from vision.overlay.limit_scale import draw_limit_scale
from vision.overlay.palette import INK, SOFT_INK
from vision.overlay.strip import LEADING, Strip
from vision.overlay.strokes import Image
from vision.overlay.verdict_mark import draw_shape, mark_of
from vision.results import Limits, Reading, Refusal, Result, Verdict
from vision.units import INCH_MM, format_mm, format_reading

STANDING = "Photo reading: to be confirmed by a person. Not a release."
VALUE_CAP_SHARE = 1 / 18
"""Least height of the value's capitals over the sheet's width: 22 px on a phone 390 px wide."""

_LARGEST_CAP_SHARE = 1 / 15
_SMALL, _MEDIUM, _TITLE = 0.034, 0.04, 0.048


def banner(result: Result, width: int, unit: str = "mm") -> Strip:
    """Return the strip that tells the result.

    Parameters
    ----------
    result : Reading or Refusal
    width : int
        Of the sheet, px.
    unit : str
        ``"mm"`` or ``"in"``: which of the two a length is shown in first.

    Raises
    ------
    ValueError
        The reading's value is not finite or its U not positive (see `units.format_reading`).
    """
    strip = Strip(width)
    strip.space(0.032)
    strip.paragraph(title(result.name), strip.size(_TITLE), SOFT_INK, most_lines=2)
    strip.space(0.004)
    if isinstance(result, Reading):
        _tell_reading(strip, result, unit)
    else:
        _tell_refusal(strip, result)
    strip.space(0.006)
    strip.rule()
    strip.space(0.017)
    strip.paragraph(STANDING, strip.size(_SMALL), SOFT_INK)
    strip.space(0.008)
    return strip


def title(name: str) -> str:
    """Return a result's name as a person reads it, e.g. ``"Strut extension"``."""
    spaced = name.replace("_", " ").strip()
    return spaced[:1].upper() + spaced[1:]


def value_texts(reading: Reading, unit: str) -> tuple[str, str]:
    """Return the value with its U as shown first, and the same in the other unit (empty for no length)."""
    value, doubt = reading.value, reading.expanded_uncertainty
    first = format_reading(value, doubt, reading.unit)
    if reading.unit != "mm":
        return first, ""
    inches = format_reading(value / INCH_MM, doubt / INCH_MM, "in")
    return (first, inches) if unit == "mm" else (inches, first)


def limits_text(limits: Limits, unit: str) -> str:
    """Return the limits in words, without their document; `unit` is the one shown."""

    def shown(limit: float) -> str:
        if unit == "mm":
            return format_mm(limit)
        if unit == "in":
            return f"{limit / INCH_MM:.4f} in"
        return f"{limit:g}{'°' if unit == 'deg' else ''}"

    if limits.lower is not None and limits.upper is not None:
        return f"Limits {shown(limits.lower)} to {shown(limits.upper)}"
    if limits.lower is not None:
        return f"Limit: at least {shown(limits.lower)}"
    if limits.upper is not None:
        return f"Limit: at most {shown(limits.upper)}"
    return ""


def _tell_reading(strip: Strip, reading: Reading, unit: str) -> None:
    first, second = value_texts(reading, unit)
    _value(strip, first)
    interval = f"{100 * reading.coverage_probability:g} % interval"
    strip.paragraph(f"{second} ({interval})" if second else interval, strip.size(_MEDIUM), SOFT_INK)
    strip.space(0.012)
    _verdict_row(strip, reading)
    limits = reading.limits
    if limits is not None:
        strip.paragraph(
            limits_text(limits, unit if reading.unit == "mm" else reading.unit), strip.size(_MEDIUM)
        )
        strip.paragraph(limits.document, strip.size(_SMALL), SOFT_INK)
        strip.space(0.004)
    if reading.verdict is Verdict.WITHIN and reading.name == "strut_extension":
        strip.paragraph(EXTENSION_ONLY.text, strip.size(_MEDIUM))


def _value(strip: Strip, text: str) -> None:
    """Put the value as large as the width allows, never below the least height: it is broken first."""
    least = math.ceil(VALUE_CAP_SHARE * strip.width / CAP_HEIGHT)
    weight = max(1, round(strip.width / 800))
    inner = strip.inner - 2 * weight
    size = int(min(_LARGEST_CAP_SHARE * strip.width / CAP_HEIGHT, least * inner / length(text, least)))
    if size >= least:
        strip.line(text, size, weight=weight)
        strip.y -= 0.22 * size  # figures have no descenders
        return
    value, doubt = text.split(" ± ")
    for part in (value, f"± {doubt}"):
        for line in wrap(part, least, inner):
            strip.line(line, least, weight=weight)


def _verdict_row(strip: Strip, result: Result) -> None:
    """Put shape and word, and beside them the scale of the limits where there are any."""
    width, mark = strip.width, mark_of(result)
    height = 0.098 * width
    top, middle = strip.y, strip.y + height / 2
    shape_x = strip.margin + 0.5 * height

    def paint(image: Image) -> None:
        draw_shape(image, mark, shape_x, middle, 0.78 * height)

    strip.painters.append(paint)
    size, small = strip.size(0.058), strip.size(_SMALL)
    drop = (size * CAP_HEIGHT + (small * LEADING if mark.rest else 0)) / 2
    word_x = strip.margin + 1.16 * height
    strip.y = middle - drop
    strip.line(mark.word, size, x=word_x)
    if mark.rest:
        strip.words.append(Word(mark.rest, word_x, middle + drop, small, SOFT_INK))
    if isinstance(result, Reading) and result.limits is not None and result.verdict is not None:
        _limit_cell(strip, result, result.limits, (word_x + 0.43 * width, top, height))
    strip.y = top + height + 0.016 * width


def _limit_cell(strip: Strip, reading: Reading, limits: Limits, place: tuple[float, float, float]) -> None:
    left, top, height = place
    if limits.lower is None and limits.upper is None:
        return
    box = (left, top + 0.14 * height, strip.width - strip.margin, top + 0.86 * height)

    def paint(image: Image) -> None:
        draw_limit_scale(image, box, reading.value, reading.expanded_uncertainty, limits)

    strip.painters.append(paint)


def _tell_refusal(strip: Strip, refusal: Refusal) -> None:
    strip.space(0.004)
    _verdict_row(strip, refusal)
    strip.paragraph(refusal.reason, strip.size(_MEDIUM), SOFT_INK, most_lines=6)
    strip.space(0.006)
    strip.paragraph(f"What to do: {refusal.advice}", strip.size(0.046), INK, most_lines=6)
