"""Pieces of the exported pages: markup in which every text is escaped."""

from collections.abc import Iterable, Sequence
from html import escape
from importlib import resources
from typing import Any

STYLE = "style.css"


class Html(str):
    """Text that is markup already."""

    __slots__ = ()


def text(value: Any) -> Html:
    """Return a value as escaped text; markup stays as it is."""
    return value if isinstance(value, Html) else Html(escape(str(value)))


def joined(parts: Iterable[Any], between: str = "") -> Html:
    """Return parts as one piece."""
    return Html(between.join(text(part) for part in parts))


def tag(name: str, *inside: Any, **attributes: str) -> Html:
    """Return an element; an attribute ``class_`` is written ``class``, ``data_name`` ``data-name``."""
    names = {key: key.rstrip("_").replace("_", "-") for key in attributes}
    told = "".join(f' {names[key]}="{escape(value)}"' for key, value in attributes.items())
    return Html(f"<{name}{told}>{joined(inside)}</{name}>")


def image(path: str, alt: str) -> Html:
    """Return a picture."""
    return Html(f'<img src="{escape(path)}" alt="{escape(alt)}" loading="lazy">')


def facts(pairs: Iterable[tuple[str, Any]]) -> Html:
    """Return names with what is said of them, one below the other on a phone."""
    return tag("dl", *(joined((tag("dt", name), tag("dd", said))) for name, said in pairs))


def table(headings: Sequence[str], rows: Iterable[Sequence[Any]]) -> Html:
    """Return a table; on a phone each row becomes a block whose cells carry their headings."""
    head = tag("tr", *(tag("th", one, scope="col") for one in headings))
    body = joined(
        tag("tr", *(tag("td", cell, data_is=name) for name, cell in zip(headings, row, strict=True)))
        for row in rows
    )
    return tag("table", tag("thead", head), tag("tbody", body))


def page(title: str, *inside: Any) -> bytes:
    """Return a whole page: nothing in it is loaded from elsewhere, and there is no script."""
    style = (resources.files("app.record") / STYLE).read_text(encoding="utf-8")
    head = joined(
        (
            Html('<meta charset="utf-8">'),
            Html('<meta name="viewport" content="width=device-width, initial-scale=1">'),
            Html('<meta name="referrer" content="no-referrer">'),
            Html('<link rel="icon" href="data:,">'),
            tag("title", title),
            Html(f"<style>\n{style}</style>"),
        ),
        "\n",
    )
    body = tag("body", tag("main", *inside))
    markup = f'<!DOCTYPE html>\n<html lang="en">\n<head>\n{head}\n</head>\n{body}\n</html>\n'
    return markup.encode("utf-8")
