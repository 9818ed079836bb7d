"""Whether the second person's reading and the photo's agree, and what follows, in words with numbers."""

from app.inspection import Comparison
from app.screens.parts.markup import text
from app.screens.parts.words import OUTCOMES
from vision.units import format_mm


def agreement_html(all_: Comparison) -> str:
    """Return the difference, what it is held against, and the outcome; nothing without a second reading."""
    if all_.agrees is None or all_.difference_mm is None or all_.combined_u_mm is None:
        return ""
    word = "Agree" if all_.agrees else "Disagree"
    sign = "=" if all_.agrees else "≠"
    compared = "within" if all_.agrees else "beyond"
    numbers = (
        f"Placed minus program {format_mm(all_.difference_mm)}, {compared} the combined U of "
        f"{format_mm(all_.combined_u_mm)}."
    )
    follows = f"<p><b>What follows</b>{text(OUTCOMES[all_.outcome])}</p>" if all_.outcome else ""
    return (
        f'<section class="gw-agreement" aria-label="Agreement"><p class="gw-agree">'
        f'<i aria-hidden="true">{sign}</i><span><b>{word}</b><small>{text(numbers)}</small></span></p>'
        f"{follows}</section>"
    )
