"""The screens' colours, light and dark: paper and ink, one accent, and the verdicts' three.

The verdicts' colours come from the palette of Okabe and Ito, "Color Universal
Design" (2008), told apart with any common colour vision (codes from memory).
style.css and the theme sections of config.toml carry the same values, because
neither can read them from here; a test compares all three.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Palette:
    """One theme's colours as ``#rrggbb``; paint, metal and rubber are those of drawn things."""

    paper: str
    sheet: str
    ink: str
    soft: str
    rule: str
    accent: str
    paint: str
    metal: str
    rubber: str
    within: str = "#009e73"
    outside: str = "#d55e00"
    undecided: str = "#e69f00"


LIGHT = Palette(
    paper="#f4f1e8",
    sheet="#fbf9f3",
    ink="#142028",
    soft="#3b4850",
    rule="#9aa19d",
    accent="#24466f",
    paint="#f1ede1",
    metal="#a9b0ad",
    rubber="#3b4850",
)
DARK = Palette(
    paper="#11191f",
    sheet="#18222a",
    ink="#ece8dc",
    soft="#c3c7c2",
    rule="#55626a",
    accent="#9dbfe6",
    paint="#51606a",
    metal="#76828a",
    rubber="#0c1217",
)


def palette_of(theme: str | None) -> Palette:
    """Return the palette of Streamlit's theme type; light where the browser has not told yet."""
    return DARK if theme == "dark" else LIGHT
