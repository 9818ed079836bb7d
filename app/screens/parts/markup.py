"""The one door to HTML: own marks with escaped text, nothing that a person typed as markup.

Streamlit takes SVG out of `st.html`, so shapes are boxes that style.css draws,
and drawings are pictures (`app.screens.drawings`).
"""

import html
from base64 import b64encode

import streamlit as st


def text(words: str) -> str:
    """Return words made safe to stand between tags or in a quoted attribute."""
    return html.escape(words, quote=True)


def show(markup: str) -> None:
    """Put own markup on the page; every text in it must have gone through `text`."""
    st.html(markup)


def drawing(svg: str, alternative: str, *, caption: str = "") -> str:
    """Return the markup of an own drawing as a picture with its words for who cannot see it."""
    source = "data:image/svg+xml;base64," + b64encode(svg.encode("utf-8")).decode("ascii")
    below = f"<figcaption>{text(caption)}</figcaption>" if caption else ""
    return f'<figure class="gw-figure"><img src="{source}" alt="{text(alternative)}">{below}</figure>'


def facts(pairs: list[tuple[str, str]]) -> str:
    """Return a list of names and values, side by side where there is room."""
    rows = "".join(f"<div><dt>{text(name)}</dt><dd>{text(value)}</dd></div>" for name, value in pairs)
    return f'<dl class="gw-facts">{rows}</dl>'


def complaint(sentence: str) -> None:
    """Say why something was not done; the sentence says what to do."""
    words = sentence[:1].upper() + sentence[1:]
    show(f'<div class="gw-complaint" role="alert"><b>Not done</b><p>{text(words)}</p></div>')


def note(words: str) -> None:
    """Say something small: Streamlit's own captions are too pale to be read in the sun."""
    show(f'<p class="gw-note">{text(words)}</p>')
