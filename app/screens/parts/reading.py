"""A measured value as a person meets it: value ± U, verdict, limits, what it does not say, why it doubts."""

from app.inspection import STRUT_EXTENSION
from app.screens.parts.budget import budget_bar
from app.screens.parts.limit_scale import limit_scale
from app.screens.parts.markup import text
from app.screens.parts.numbers import in_inch, in_mm, limits_words, to_sixteenth
from app.screens.parts.verdict import mark_html, mark_of
from vision import notes
from vision.results import Reading, Refusal, Verdict

STANDS_BESIDE = "It tells how the tire stands, not its pressure: the gauge's reading stands beside it."
SUPPORTING = (
    "Supporting reading: the photo reading of this leg counts only with a hand measurement beside it."
)
BESIDE_WITHIN_SHORT = "Extension only: it does not prove the oil level. U is the photo's own."
"""The same in a list of readings."""


def beside_within(key: str) -> str:
    """Return what stands beside a reading within its limits in a list, by the item's key."""
    return BESIDE_WITHIN_SHORT if key == STRUT_EXTENSION else STANDS_BESIDE


BESIDE_WITHIN = (notes.EXTENSION_ONLY, notes.RESTING_STATE)
"""What stands beside every reading that is within, whatever else the photo had to remark."""


def reading_html(reading: Reading, *, supporting: bool) -> str:
    """Return the whole reading as markup: what it says first, then why it doubts."""
    return said_html(reading, supporting=supporting) + doubt_html(reading)


def said_html(reading: Reading, *, supporting: bool) -> str:
    """Return value, verdict, limits, and what the reading does not say."""
    return (
        '<section class="gw-reading" aria-label="Reading from the photo">'
        f"{value_html(reading)}{verdict_html(reading, supporting=supporting)}</section>"
    )


def verdict_html(reading: Reading, *, supporting: bool) -> str:
    """Return the verdict with its limits, and what stands beside it."""
    parts = [
        mark_html(mark_of(reading)),
        limit_scale(reading),
        _limits(reading),
        _beside(reading, supporting),
    ]
    return "".join(parts)


def doubt_html(reading: Reading) -> str:
    """Return the remarks on the photo and the sources of U."""
    return (
        '<section class="gw-reading" aria-label="Remarks and doubt">'
        f"{_remarks(reading)}{budget_bar(reading.budget, reading.unit)}</section>"
    )


def value_html(reading: Reading) -> str:
    """Return value and U in mm, the inches under them."""
    value, u = reading.value, reading.expanded_uncertainty
    return (
        f'<p class="gw-value-line"><b>{text(in_mm(value, u))}</b>'
        f"<span>{text(in_inch(value, u))}</span> <span>{text(to_sixteenth(value))}</span>"
        "<small>U with 95 % probability</small></p>"
    )


def refusal_html(refusal: Refusal) -> str:
    """Return why the photo gives no value, and the one thing to do about it."""
    return (
        '<section class="gw-reading" aria-label="No reading from the photo">'
        f"{mark_html(mark_of(refusal))}<p>{text(refusal.reason)}</p>"
        f'<p class="gw-advice"><b>What to do</b>{text(refusal.advice)}</p>'
        f"{_remarks(refusal)}</section>"
    )


def _limits(reading: Reading) -> str:
    if reading.limits is None:
        return ""
    document = f"<small>{text(reading.limits.document)}</small>" if reading.limits.document else ""
    words = text(limits_words(reading.limits)).replace(" (", ' <span class="gw-keep">(') + "</span>"
    return f'<p class="gw-limits">Limits {words}{document}</p>'


def _beside(reading: Reading, supporting: bool) -> str:
    lines = [note.text for note in BESIDE_WITHIN] if reading.verdict is Verdict.WITHIN else []
    if supporting:
        lines.append(SUPPORTING)
    return "".join(f'<p class="gw-beside">{text(line)}</p>' for line in lines)


def _remarks(result: Reading | Refusal) -> str:
    within = isinstance(result, Reading) and result.verdict is Verdict.WITHIN
    told = {note.code for note in BESIDE_WITHIN} if within else set()
    rest = [note for note in result.notes if note.code not in told]
    if not rest:
        return ""
    items = "".join(f"<li>{text(note.text)}</li>" for note in rest)
    return f'<div class="gw-remarks"><p>Remarks on this photo</p><ul>{items}</ul></div>'
