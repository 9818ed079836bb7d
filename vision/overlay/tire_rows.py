"""The strip above a tire's picture: one row for each quantity, or why there is none."""

from collections.abc import Sequence
from dataclasses import replace

from vision.overlay.banner import STANDING, limits_text, title, value_texts
from vision.overlay.palette import SOFT_INK
from vision.overlay.strip import Strip
from vision.overlay.strokes import Image
from vision.overlay.verdict_mark import VerdictMark, draw_shape, mark_of
from vision.results import Reading, Refusal, Result, Verdict

_SMALL, _MEDIUM, _LARGE, _TITLE = 0.03, 0.036, 0.057, 0.038
_LEADING_NAMES = ("pressure_line_angle", "creep_arc")
_WORDS = {Verdict.WITHIN: "yes", Verdict.OUTSIDE: "no", Verdict.UNDECIDED: "cannot tell"}


def tire_banner(results: Sequence[Result], level_from: str | None, width: int, unit: str) -> Strip:
    """Return the strip that tells a tire's results.

    Raises
    ------
    ValueError
        A reading's value is not finite or its U not positive.
    """
    strip = Strip(width)
    strip.space(0.03)
    refused = [result for result in results if isinstance(result, Refusal)]
    if len(refused) == len(results) and len({one.reason for one in refused}) == 1:
        strip.line("Tire", strip.size(_TITLE), SOFT_INK)
        _verdict(strip, mark_of(refused[0]), strip.y)
        strip.space(0.012)
        _refusal(strip, refused[0])
    else:
        by_name = {result.name: result for result in results}
        for k, result in enumerate(results):
            after = results[k + 1] if k + 1 < len(results) else None
            if isinstance(result, Refusal) and isinstance(after, Refusal) and after.reason == result.reason:
                strip.line(title(result.name), strip.size(_TITLE), SOFT_INK)
                continue  # told once, under the last of them
            if result.name == "creep_angle" and isinstance(by_name.get("creep_arc"), Reading):
                continue  # told in the arc's row
            _row(strip, result, by_name, level_from, unit)
    strip.space(0.004)
    strip.rule()
    strip.space(0.014)
    strip.paragraph(STANDING, strip.size(_SMALL), SOFT_INK)
    strip.space(0.008)
    return strip


def line_mark(reading: Reading, reference: str) -> VerdictMark:
    """Return how the line's verdict is told: parallel to the ground, or level, yes, no or cannot tell."""
    mark = mark_of(reading)
    if reading.verdict is None:
        return mark
    what = "Level" if reference == "gravity" else "Parallel"
    return replace(mark, word=f"{what}: {_WORDS[reading.verdict]}", rest="")


def _row(strip: Strip, result: Result, by_name: dict[str, Result], level_from: str | None, unit: str) -> None:
    if isinstance(result, Refusal):
        strip.line(title(result.name), strip.size(_TITLE), SOFT_INK)
        _refusal(strip, result)
        strip.space(0.012)
        return
    first, second = value_texts(result, unit)
    if result.name not in _LEADING_NAMES:
        text = f"{title(result.name)} {first}" + (f" ({second})" if second else "")
        strip.paragraph(text, strip.size(_MEDIUM), most_lines=2)
        return
    strip.line(title(result.name), strip.size(_TITLE), SOFT_INK)
    top = strip.y
    strip.line(first, strip.size(_LARGE), weight=max(1, round(strip.width / 900)))
    mark = mark_of(result)
    if result.name == "pressure_line_angle":
        mark = line_mark(result, str(result.evidence.get("level_reference", "ground")))
    _verdict(strip, mark, top)
    rest = [second] if second else []
    angle = by_name.get("creep_angle")
    if result.name == "creep_arc" and isinstance(angle, Reading):
        rest.append(value_texts(angle, unit)[0])
    if result.name == "pressure_line_angle" and level_from:
        against = str(result.evidence.get("level_reference", "ground"))
        rest.append(f"against {against}, level from {level_from}")
    if result.limits is not None:
        shown = unit if result.unit == "mm" else result.unit
        rest.append(f"{limits_text(result.limits, shown)}, {result.limits.document}".rstrip(", "))
    strip.paragraph("; ".join(rest), strip.size(_SMALL), SOFT_INK)
    strip.space(0.014)


def _refusal(strip: Strip, refusal: Refusal) -> None:
    strip.paragraph(f"No value. {refusal.reason}", strip.size(_MEDIUM))
    strip.paragraph(f"What to do: {refusal.advice}", strip.size(_MEDIUM), SOFT_INK)


def _verdict(strip: Strip, mark: VerdictMark, top: float) -> None:
    """Put shape and word at the right, in the row that begins at `top`."""
    size = strip.size(0.036)
    height = 0.055 * strip.width
    x = strip.width * 0.6

    def paint(image: Image) -> None:
        draw_shape(image, mark, x, top + height / 2, 0.8 * height)

    strip.painters.append(paint)
    y = strip.y
    strip.y = top + height / 2 - 0.35 * size
    strip.line(mark.word, size, x=x + 0.75 * height)
    strip.y = y if y > top else top + height
