"""A drawing in two sizes, of which a screen shows the one that its width can carry."""

from base64 import b64encode

from app.screens.parts.markup import text


def both_sizes(wide: str, narrow: str, alternative: str) -> str:
    """Return the markup of a drawing that has a form for a phone."""
    large, small = map(_address, (wide, narrow))
    return (
        '<figure class="gw-figure gw-drawn">'
        f'<img class="gw-wide" src="{large}" alt="{text(alternative)}">'
        f'<img class="gw-narrow" src="{small}" alt="{text(alternative)}"></figure>'
    )


def _address(svg: str) -> str:
    return "data:image/svg+xml;base64," + b64encode(svg.encode()).decode("ascii")
