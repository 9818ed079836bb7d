"""The head of a page: a drawing sheet's title block, and the steps of the work on a line."""

from collections.abc import Sequence

from app.screens.parts.markup import text


def title_block(cells: Sequence[tuple[str, str]], signed_in: str) -> str:
    """Return the title block: the program's name, what the sheet is about, who is signed in.

    Parameters
    ----------
    cells : sequence of (name, value)
        E.g. ``[("Aircraft", "ZZ-GWT"), ("Leg", "left main")]``.
    signed_in : str
        The person's name; beside it the way out.
    """
    middle = "".join(f"<div><small>{text(name)}</small><b>{text(value)}</b></div>" for name, value in cells)
    out = '<form method="post" action="/sign-out"><button type="submit">Sign out</button></form>'
    person = f"<span><small>Signed in</small><b>{text(signed_in)}</b></span>"
    return (
        f'<div class="gw-block"><div class="gw-name">Gearwitness</div>{middle}'
        f'<div class="gw-person">{person}{out}</div></div>'
    )


def steps(names: Sequence[str], current: int) -> str:
    """Return the steps as a line with marks; `current` counts from 0."""

    def step(index: int, name: str) -> str:
        if index == current:
            return f'<li aria-current="step">{text(name)}</li>'
        return f'<li data-state="{"done" if index < current else "ahead"}">{text(name)}</li>'

    items = "".join(step(index, name) for index, name in enumerate(names))
    return f'<ol class="gw-steps" aria-label="Steps of this work">{items}</ol>'
