"""A verdict told three times over: by its shape, by its word, by a colour that any eye tells apart."""

from dataclasses import dataclass

from app.screens.parts.markup import text
from vision.results import Reading, Result, Verdict


@dataclass(frozen=True)
class Mark:
    """How an answer is told: `shape` is a class of style.css, `rest` a smaller line under the word."""

    shape: str
    word: str
    rest: str = ""


MARKS: dict[Verdict | None, Mark] = {
    Verdict.WITHIN: Mark("disc", "Within limits"),
    Verdict.OUTSIDE: Mark("diamond", "Outside limits"),
    Verdict.UNDECIDED: Mark("triangle", "Undecided", "A hand measurement decides."),
    None: Mark("bar", "Not judged", "There are no limits to hold it against."),
}
NO_VALUE = Mark("square", "No value", "The photo does not carry one.")


def mark_of(result: Result) -> Mark:
    """Return the mark of a reading's verdict, or of a refusal."""
    return MARKS[result.verdict] if isinstance(result, Reading) else NO_VALUE


def mark_html(mark: Mark, *, size: str = "large") -> str:
    """Return the mark's markup; `size` is ``"large"`` or ``"small"``."""
    rest = f"<small>{text(mark.rest)}</small>" if mark.rest and size == "large" else ""
    shape = f'<i class="gw-shape gw-{mark.shape}" aria-hidden="true"></i>'
    return f'<span class="gw-verdict gw-{size}">{shape}<span><b>{text(mark.word)}</b>{rest}</span></span>'
