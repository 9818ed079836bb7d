"""Pictures by the hash of their bytes; the routes behind the addresses check who may see them."""

from app.screens.parts.markup import text

SHOWN_PX = 1200
"""The longer side of an original as a page shows it: a phone never loads the whole photo for that."""


def annotated_html(sha: str, alternative: str) -> str:
    """Return the annotated copy, and the way to it at full size."""
    return _figure(f"/annotated/{sha}", f"/annotated/{sha}", alternative, "Annotated copy, full size")


def original_html(sha: str, size: tuple[int, int], alternative: str) -> str:
    """Return the upright original made small for the page, and the way to its own bytes.

    Parameters
    ----------
    size : (int, int)
        Width and height of the upright photo, px; (0, 0) where the bytes are no photo.
    """
    full = f"/photos/{sha}/original"
    width, height = size
    if not width:
        return f'<p><a href="{text(full)}" target="_blank" rel="noopener">The file as it was sent</a></p>'
    piece = f"/photos/{sha}/tile?x=0&y=0&w={width}&h={height}&out={SHOWN_PX}"
    return _figure(piece, full, alternative, "The original, as it was taken")


def _figure(shown: str, full: str, alternative: str, words: str) -> str:
    link = f'<a href="{text(full)}" target="_blank" rel="noopener">{text(words)}</a>'
    return (
        f'<figure class="gw-picture"><img src="{text(shown)}" alt="{text(alternative)}" loading="lazy">'
        f"<figcaption>{link}</figcaption></figure>"
    )


def earlier_view_html(sha: str, size: tuple[int, int], day: str) -> str:
    """Return an earlier visit's photo, unmarked, as the view that is to be taken again."""
    words = (
        f"The earlier visit's photo, {day}, unmarked. Stand where it was taken: then the two can be compared."
    )
    return f'<p class="gw-note">{text(words)}</p>' + original_html(sha, size, f"Photo of the same of {day}")
