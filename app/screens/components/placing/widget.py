"""`place_points`, `place_some`: a person's own reading of a photo, in full-size upright pixels."""

import math
import re
from collections.abc import Mapping, Sequence

import streamlit as st

from app.screens.components.assets import joined, script

Place = tuple[float, float]
"""x to the right and y down, px of the full-size upright photo, pixel centres at integers."""

STRUT_LABELS = ("band, upper edge", "collar, lower rim")

_SCRIPT = (
    "shared/mounting.js",
    "shared/pauses.js",
    "placing/view.js",
    "placing/marks.js",
    "placing/tiles.js",
    "placing/draw.js",
    "placing/picture.js",
    "placing/gestures.js",
    "placing/keys.js",
    "placing/words.js",
    "placing/panel.js",
    "placing/keeping.js",
    "placing/main.js",
)
_widget = st.components.v2.component(
    "gearwitness_place_points",
    html=joined(["placing/widget.html"]),
    css=joined(["shared/basis.css", "placing/widget.css"]),
    js=script(_SCRIPT),
)


def place_points(
    sha: str,
    width: int,
    height: int,
    labels: Sequence[str] = STRUT_LABELS,
    *,
    key: str,
    keep_as: str | None = None,
) -> tuple[Place | None, ...]:
    """Show a photo with marks to place, and return the places once the person has said to use them.

    The photo comes in pieces from ``/photos/{sha}/tile``, as sharp as the screen shows
    it; nothing is drawn on it but the marks.  The value stays over reruns until the
    person uses other places, and is empty for another photo.

    Parameters
    ----------
    sha : str
        SHA-256 of the photo, 64 hexadecimal digits.
    width, height : int, > 0
        Size of the full-size upright photo, px.
    labels : sequence of str
        What each mark is to be placed on, one or more.
    key : str
        Streamlit's key of this widget; one for each photo and purpose.
    keep_as : str or None
        Under this name the marks outlive a reload of the page, in this browser tab only.
        It must name the try and the person, or one inspector would meet another's marks.
        None keeps nothing.

    Returns
    -------
    tuple of Place or None
        One for each label; all None until the places are used.

    Raises
    ------
    ValueError
        A parameter is not as described.
    """
    _check(sha, width, height, labels)
    before = read_places(_kept(key), sha, width, height, len(labels))
    asked = {"labels": list(labels), "least": len(labels), "keep": keep_as}
    sent = _shown(sha, width, height, key, asked, [place for place in before if place is not None])
    return read_places(sent, sha, width, height, len(labels))


def place_some(
    sha: str,
    width: int,
    height: int,
    label: str,
    most: int,
    *,
    key: str,
    fine: float,
    keep_as: str | None = None,
    least: int = 1,
) -> tuple[Place, ...]:
    """Show a photo on which as many places are set as the person wants, one after the other.

    A tap sets the next mark, a tap on a mark chooses it, a tap from afar brings the photo closer.

    Parameters
    ----------
    label : str
        What one of them is, as in "place along the hose".
    most, least : int
        How many may be set, and how many have to be; `most` above `least`.
    fine : float, > 0
        CSS px to a photo px from which on a tap sets a mark.
    sha, width, height, key, keep_as
        As for `place_points`.

    Returns
    -------
    tuple of Place
        In the order in which they were set; empty until they are used.

    Raises
    ------
    ValueError
        A parameter is not as described.
    """
    _check(sha, width, height, (label,))
    if not 1 <= least < most or not fine > 0:
        msg = f"1 <= least < most and fine > 0 were expected, not {least}, {most}, {fine}"
        raise ValueError(msg)
    before = read_some(_kept(key), sha, width, height, least, most)
    asked = {"labels": [label] * most, "least": least, "fine": fine, "keep": keep_as}
    sent = _shown(sha, width, height, key, asked, before)
    return read_some(sent, sha, width, height, least, most)


def _kept(key: str) -> object:
    state = st.session_state.get(key)
    return state.get("places") if isinstance(state, Mapping) else None


def _shown(
    sha: str, width: int, height: int, key: str, asked: Mapping[str, object], used: Sequence[Place]
) -> object:
    data = {
        "photo": sha, "tiles": f"/photos/{sha}/tile", "width": width, "height": height,
        "used": [list(place) for place in used],
    }  # fmt: skip
    return _widget(key=key, data={**data, **asked}, on_places_change=lambda: None).get("places")


def read_places(sent: object, sha: str, width: int, height: int, count: int) -> tuple[Place | None, ...]:
    """Read what the browser sent, and trust nothing in it.

    Parameters
    ----------
    sent : object
        ``{"photo": sha, "points": [[x, y], …]}`` of `count` points inside the photo.
    sha, width, height
        The photo that is shown, as for `place_points`.
    count : int
        How many places there must be.

    Returns
    -------
    tuple of Place or None
        All places, or `count` times None where `sent` is anything else: half a reading, or
        one of another photo, is none.
    """
    nothing = (None,) * count
    if not isinstance(sent, Mapping) or sent.get("photo") != sha:
        return nothing
    points = sent.get("points")
    if not isinstance(points, list) or len(points) != count:
        return nothing
    places = [_place(point, width, height) for point in points]
    return nothing if None in places else tuple(places)


def read_some(sent: object, sha: str, width: int, height: int, least: int, most: int) -> tuple[Place, ...]:
    """Read as `read_places` what may be `least` to `most` places; empty where it is anything else."""
    points = sent.get("points") if isinstance(sent, Mapping) else None
    if not isinstance(points, list) or not least <= len(points) <= most:
        return ()
    return tuple(one for one in read_places(sent, sha, width, height, len(points)) if one is not None)


def _place(point: object, width: int, height: int) -> Place | None:
    if not isinstance(point, list) or len(point) != 2:
        return None
    if not all(isinstance(value, int | float) and not isinstance(value, bool) for value in point):
        return None
    x, y = float(point[0]), float(point[1])
    inside = math.isfinite(x) and math.isfinite(y) and -0.5 <= x <= width - 0.5 and -0.5 <= y <= height - 0.5
    return (x, y) if inside else None


def _check(sha: str, width: int, height: int, labels: Sequence[str]) -> None:
    if not re.fullmatch(r"[0-9a-f]{64}", sha):
        msg = f"a SHA-256 of 64 hexadecimal digits was expected as the photo's name, not {sha!r}"
        raise ValueError(msg)
    if width < 1 or height < 1:
        msg = f"a photo of at least 1 × 1 px was expected, not {width} × {height}"
        raise ValueError(msg)
    if not labels or isinstance(labels, str):
        msg = f"one label or more was expected in a tuple or list, not {labels!r}"
        raise ValueError(msg)
