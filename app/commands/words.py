"""How a result reads for a person: value, verdict, remarks, where the doubt comes from."""

from collections.abc import Iterator, Sequence

from vision.leg import Leg
from vision.notes import HAND, Note
from vision.results import Limits, Reading, Refusal, Result, Verdict
from vision.units import INCH_MM, format_mm, format_reading


def describe(result: Result, leg: Leg) -> str:
    """Return a result as a few lines of text."""
    what = result.name.replace("_", " ").capitalize()
    whose = ", ".join(filter(None, (leg.position, leg.aircraft)))
    head = f"{what}, {whose}" if whose else what
    lines = _refusal(head, result) if isinstance(result, Refusal) else _reading(head, result)
    return "\n".join(lines)


def in_mm_and_inch(reading: Reading) -> str:
    """Return value and expanded uncertainty in mm, with the inches beside them where it is a length."""
    text = format_reading(reading.value, reading.expanded_uncertainty, reading.unit)
    if reading.unit != "mm":
        return text
    inches = format_reading(reading.value / INCH_MM, reading.expanded_uncertainty / INCH_MM, "in")
    return f"{text} ({inches})"


def verdict_words(reading: Reading) -> str:
    """Return the verdict as a sentence with its limits."""
    limits = reading.limits
    if reading.verdict is None:
        return "There are no limits to hold it against."
    if limits is None:
        return f"Undecided: the limits cannot be told. {HAND}"
    if reading.verdict is Verdict.UNDECIDED:
        return f"Undecided: too close to a limit for its uncertainty ({_limits(limits)}). {HAND}"
    if reading.verdict is Verdict.WITHIN:
        return f"Within the limits: {_limits(limits)}."
    low = limits.lower is not None and reading.value < limits.lower
    return f"Outside the limits, too {'low' if low else 'high'}: {_limits(limits)}."


def _reading(head: str, reading: Reading) -> Iterator[str]:
    yield f"{head}: {in_mm_and_inch(reading)}, with 95 % probability"
    yield verdict_words(reading)
    if reading.limits is not None and reading.limits.document:
        yield f"Document: {reading.limits.document}"
    yield from _notes(reading.notes)
    if reading.budget:
        yield "Where the doubt comes from (standard uncertainties):"
        yield from _budget(reading)


def _budget(reading: Reading) -> Iterator[str]:
    lines = sorted(reading.budget, key=lambda line: -line.standard_uncertainty)
    # A source that three decimals show as nothing tells a person nothing; the JSON keeps it.
    told = [line for line in lines if line.standard_uncertainty >= 0.0005]
    room = max((len(line.source) for line in told), default=0)
    yield from (f"  {line.source:<{room}}  {line.standard_uncertainty:.3f} {reading.unit}" for line in told)


def _refusal(head: str, refusal: Refusal) -> Iterator[str]:
    yield f"{head}: no value"
    yield refusal.reason
    yield f"What to do: {refusal.advice}"
    yield from _notes(refusal.notes)


def _notes(notes: Sequence[Note]) -> Iterator[str]:
    if notes:
        yield "Notes:"
    yield from (f"  {note.text}" for note in notes)


def _limits(limits: Limits) -> str:
    if limits.lower is None or limits.upper is None:
        only = limits.upper if limits.lower is None else limits.lower
        assert only is not None  # a leg without any limit is not measured
        side = "at most" if limits.lower is None else "at least"
        return f"{side} {format_mm(only)} ({only / INCH_MM:.3f} in)"
    inches = f"{limits.lower / INCH_MM:.3f} to {limits.upper / INCH_MM:.3f} in"
    return f"{format_mm(limits.lower)} to {format_mm(limits.upper)} ({inches})"
