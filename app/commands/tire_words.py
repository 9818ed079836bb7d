"""How a tire's results read for a person."""

from collections.abc import Iterator
from itertools import groupby

from app.commands.words import in_mm_and_inch
from vision.leg import Leg
from vision.notes import Note
from vision.results import Limits, Reading, Refusal, Result, Verdict
from vision.tire import TireMeasurement

_ANSWER = {Verdict.WITHIN: "yes", Verdict.OUTSIDE: "no", Verdict.UNDECIDED: "cannot tell"}


def describe_tire(found: TireMeasurement, leg: Leg) -> str:
    """Return the results of one tire as lines of text."""
    whose = ", ".join(filter(None, (leg.position, leg.aircraft)))
    lines = [f"Tire, {whose}" if whose else "Tire"]
    for refused, group in groupby(found.results, key=_reason):
        results = list(group)
        if refused is None:
            for result in results:
                assert isinstance(result, Reading)
                lines += _reading(result, found.level_from)
            continue
        names = ", ".join(title(result.name) for result in results)
        lines += [f"{names}: no value", f"  {refused[0]}", f"  What to do: {refused[1]}"]
    notes = _notes(found.results)
    if notes:
        lines += ["Notes:", *(f"  {note.text}" for note in notes)]
    return "\n".join(lines)


def title(name: str) -> str:
    """Return a result's name as a person reads it."""
    return name.replace("_", " ").capitalize()


def verdict_words(reading: Reading) -> str:
    """Return what a verdict means, in the words that a mechanic asks for; empty where there is none."""
    if reading.verdict is None or reading.limits is None:
        return ""
    answer = _ANSWER[reading.verdict]
    limits = _limits(reading.limits, reading.unit)
    if reading.name == "pressure_line_angle":
        ground = reading.evidence.get("level_reference", "ground") == "ground"
        return f"{'Line parallel to the ground' if ground else 'Line level'}: {answer} ({limits})"
    return f"Within the limits: {answer} ({limits})"


def _reason(result: Result) -> tuple[str, str] | None:
    return (result.reason, result.advice) if isinstance(result, Refusal) else None


def _reading(reading: Reading, level_from: str | None) -> Iterator[str]:
    yield f"{title(reading.name)}: {in_mm_and_inch(reading)}, with 95 % probability"
    words = verdict_words(reading)
    if words:
        yield f"  {words}"
    if reading.limits is not None and reading.limits.document:
        yield f"  Document: {reading.limits.document}"
    if reading.name == "pressure_line_angle" and level_from:
        yield f"  Level from: {level_from}"
    largest = [line for line in reading.budget if line.standard_uncertainty >= 0.0005][:4]
    if largest:
        told = ", ".join(f"{line.source} {line.standard_uncertainty:.3f}" for line in largest)
        yield f"  Largest doubts (standard, {reading.unit}): {told}"


def _limits(limits: Limits, unit: str) -> str:
    mark = {"deg": "°", "mm": " mm"}.get(unit, "")
    if limits.lower is not None and limits.upper is not None and limits.lower == -limits.upper:
        return f"at most {limits.upper:g}{mark} either way"
    sides = [(limits.lower, "at least"), (limits.upper, "at most")]
    return ", ".join(f"{word} {limit:g}{mark}" for limit, word in sides if limit is not None)


def _notes(results: tuple[Result, ...]) -> list[Note]:
    return list({note.code: note for result in results for note in result.notes}.values())
