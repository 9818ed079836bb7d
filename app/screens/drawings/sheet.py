"""A drawing and the words that belong to it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Drawing:
    """A drawing with the words that belong to it: title, alternative text, the balloons' list."""

    title: str
    alternative: str
    svg: str
    list: tuple[str, ...]
