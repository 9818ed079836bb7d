"""Names as they are compared."""

import unicodedata

from app.inspection.base import clean_text


def name_key(name: str) -> str:
    """Return a name without regard to capitals, spaces around it and ways of writing one letter."""
    return unicodedata.normalize("NFKC", clean_text(name)).casefold()[:100]
