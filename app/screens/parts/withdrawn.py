"""A reading that was withdrawn after the sign-off, wherever it is listed: struck through, with its reason."""

from app.screens.parts.markup import text
from app.screens.parts.verdict import Mark, mark_html

MARK = Mark("bar", "Withdrawn")


def struck(value: str, reason: str) -> str:
    """Return the markup of a value that stands no more; its verdict is not told again."""
    shown = f"<span><s>{text(value)}</s></span>" if value else ""
    return f"{shown}{mark_html(MARK, size='small')}<small>After the sign-off: {text(reason)}</small>"
