"""The demo's results held against the truth, as a table for a person and as JSON."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from app.commands.demo_photos import DemoPhoto
from vision.results import Reading, Result, to_json
from vision.units import format_reading

_HEADINGS = ("photo", "value ± U", "truth, mm", "error, mm", "verdict or refusal", "as expected")
NONE = "–"


@dataclass(frozen=True)
class Row:
    """One photo's result beside its truth."""

    photo: DemoPhoto
    result: Result

    @property
    def value(self) -> str:
        """Value and expanded uncertainty."""
        if not isinstance(self.result, Reading):
            return NONE
        return format_reading(self.result.value, self.result.expanded_uncertainty, self.result.unit)

    @property
    def error_mm(self) -> float | None:
        """Value less truth, in mm."""
        if not isinstance(self.result, Reading) or self.photo.truth_mm is None:
            return None
        return self.result.value - self.photo.truth_mm

    @property
    def holds_truth(self) -> bool:
        """Whether the truth lies in the reading's interval."""
        error = self.error_mm
        return (
            isinstance(self.result, Reading)
            and error is not None
            and abs(error) <= self.result.expanded_uncertainty
        )

    @property
    def outcome(self) -> str:
        """The verdict, or the code of the refusal."""
        if isinstance(self.result, Reading):
            return self.result.verdict.value if self.result.verdict else NONE
        return self.result.remedy.code

    @property
    def as_expected(self) -> bool:
        """Whether everything that the truth file expects came true."""
        got = to_json(self.result)
        return all(got.get(key) == value for key, value in self.photo.expected.items())

    def cells(self) -> tuple[str, ...]:
        """Return the row's texts."""
        truth = NONE if self.photo.truth_mm is None else f"{self.photo.truth_mm:.2f}"
        error = NONE if self.error_mm is None else f"{self.error_mm:+.2f}"
        expected = "yes" if self.as_expected else "no"
        name = f"{self.photo.list_name}/{self.photo.name}"
        return name, self.value, truth, error, self.outcome, expected


def table(rows: Sequence[Row]) -> str:
    """Return the rows as a table."""
    return markdown(_HEADINGS, [row.cells() for row in rows])


def markdown(headings: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Return a Markdown table whose columns also line up as plain text."""
    cells = [headings, *rows]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    lines = [" | ".join(text.ljust(width) for text, width in zip(row, widths, strict=True)) for row in cells]
    rule = " | ".join("-" * width for width in widths)
    return "\n".join(f"| {line} |" for line in (lines[0], rule, *lines[1:]))


def summary(rows: Sequence[Row]) -> str:
    """Return how many photos were read, and how many readings hold their truth."""
    readings = [row for row in rows if row.result]
    holding = sum(row.holds_truth for row in readings)
    expected = sum(row.as_expected for row in rows)
    return (
        f"{len(rows)} photos: readings {len(readings)}, refusals {len(rows) - len(readings)}. "
        f"The truth lies within U in {holding} of {len(readings)} readings. "
        f"{expected} of {len(rows)} came out as expected."
    )


def to_object(row: Row) -> dict[str, Any]:
    """Return the row as plain JSON values."""
    return {
        "photo": row.photo.name,
        "list": row.photo.list_name,
        "leg_file": row.photo.leg_file,
        "truth_mm": row.photo.truth_mm,
        "error_mm": row.error_mm,
        "expected": dict(row.photo.expected),
        "as_expected": row.as_expected,
        "result": to_json(row.result),
    }
