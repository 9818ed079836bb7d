"""A stored result (the contract's JSON) back as the typed result that it was written from."""

from collections.abc import Mapping
from typing import Any

from vision.notes import Note, Remedy
from vision.results import BudgetLine, Limits, Reading, Refusal, Result, Verdict


def result_of(stored: Mapping[str, Any]) -> Result:
    """Return the reading or the refusal that `vision.results.to_json` wrote.

    Raises
    ------
    KeyError, ValueError
        It is not such a result, or of a later version with other verdicts.
    """
    notes = tuple(Note(note["code"], note["text"]) for note in stored["notes"])
    if stored["status"] == "refused":
        # The stored sentences are what was said then; the registry may say it better by now.
        remedy = Remedy(stored["cause"], stored["reason"], stored["advice"])
        return Refusal(stored["name"], remedy, evidence=stored["evidence"], notes=notes)
    limits = stored["limits"]
    return Reading(
        name=stored["name"],
        value=stored["value"],
        unit=stored["unit"],
        expanded_uncertainty=stored["expanded_uncertainty"],
        budget=tuple(BudgetLine(b["source"], b["standard_uncertainty"]) for b in stored["budget"]),
        evidence=stored["evidence"],
        notes=notes,
        limits=None if limits is None else Limits(limits["lower"], limits["upper"], limits["document"]),
        verdict=None if stored["verdict"] is None else Verdict(stored["verdict"]),
        coverage_probability=stored["coverage_probability"],
    )
