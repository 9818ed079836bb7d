"""What a tire's photo gave: the answer first, then every result with U, or why there is none."""

from collections.abc import Sequence
from itertools import groupby

from app.record.tire_words import Result, answer, direction, limit, results_of, title, value
from app.screens.parts.contract import result_of
from app.screens.parts.markup import text
from app.screens.parts.reading import STANDS_BESIDE
from app.screens.parts.verdict import MARKS, NO_VALUE, Mark, mark_html
from vision.results import Verdict


def tire_html(result: Result) -> str:
    """Return all results of a photo; that of the item's own question comes first, with its mark."""
    own = str(result["name"])
    found = results_of(result)
    first = [one for one in found if one["name"] == own]
    rest = [one for one in found if one["name"] != own]
    level = result.get("level_from")
    told = f"<p>Level told by: <b>{text(str(level))}</b></p>" if level else ""
    return (
        '<section class="gw-reading" aria-label="Readings of the tire from the photo">'
        f"{''.join(_leading(one) for one in first)}{told}"
        f'<p class="gw-beside">{text(STANDS_BESIDE)}</p>{_rest(rest)}{_remarks(result)}</section>'
    )


def answer_mark(result: Result) -> Mark:
    """Return the mark of the item's own question, in the words it is asked in."""
    if result["status"] != "reading":
        return NO_VALUE
    verdict = result.get("verdict")
    mark = MARKS[None if verdict is None else Verdict(verdict)]
    return Mark(mark.shape, answer(result) or mark.word, "" if verdict else mark.rest)


def _leading(one: Result) -> str:
    if one["status"] != "reading":
        return f"{mark_html(NO_VALUE)}{_refused([one])}"
    way = direction(one)
    limits = limit(one)
    number, inches = _parts(one)
    question, _, said = answer(one).partition(": ")
    mark = answer_mark(one)
    shown = Mark(mark.shape, said.capitalize(), mark.rest) if said else mark
    return (
        f'<p class="gw-value-line"><b>{text(number)}</b>{f"<span>{text(inches)}</span>" if inches else ""}'
        f"<small>{text(title(one))}, U with 95 % probability</small></p>"
        + (f"<h3>{text(question)}</h3>" if said else "")
        + f"{mark_html(shown)}"
        + (f"<p>{text(way[:1].upper() + way[1:])}.</p>" if way else "")
        + (f'<p class="gw-limits">Limit: {text(limits)}</p>' if limits else "")
    )


def _rest(rest: Sequence[Result]) -> str:
    rows, refused = [], ""
    for why, group in groupby(rest, key=lambda one: None if one["status"] == "reading" else one["reason"]):
        some = list(group)
        if why is not None:
            refused += _refused(some)
            continue
        for one in some:
            beside = "; ".join(part for part in (answer(one), direction(one)) if part)
            number, inches = _parts(one)
            rows.append(
                f"<li><div><b>{text(title(one))}</b></div>"
                f"<div><b>{text(number)}</b><small>{text(inches)}</small></div>"
                f'<div class="gw-said">{text(beside)}</div></li>'
            )
    listed = f'<ul class="gw-readings">{"".join(rows)}</ul>' if rows else ""
    return listed + refused


def _parts(one: Result) -> tuple[str, str]:
    """A value with U, and the same in inches where it is a length."""
    number, _, inches = value(one).partition(" (")
    return number, inches.removesuffix(")")


def _refused(some: Sequence[Result]) -> str:
    names = ", ".join(title(one) for one in some)
    return (
        f"<p><b>{text(names)}: no value.</b> {text(str(some[0]['reason']))}</p>"
        f'<p class="gw-advice"><b>What to do</b>{text(str(some[0]["advice"]))}</p>'
    )


def _remarks(result: Result) -> str:
    found = {note.code: note.text for one in results_of(result) for note in result_of(one).notes}
    items = "".join(f"<li>{text(words)}</li>" for words in found.values())
    return f'<div class="gw-remarks"><p>Remarks on this photo</p><ul>{items}</ul></div>' if items else ""
