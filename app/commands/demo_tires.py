"""The demo's photos of tires: each measured whole, its several results held against the truth.

A truth file of tier ``traced tire`` names its leg, has the true quantities in ``truth`` and in
``expected``, for each result by name, the keys of it as they should come out.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.commands.demo_photos import OF_TIRES, paths_of
from app.commands.demo_table import NONE, markdown
from app.commands.tire_words import title
from app.errors import UsageError
from app.measuring.strut_request import finite
from app.measuring.tire_request import TireRequest
from vision.leg import load_leg
from vision.results import Reading, Result, to_json
from vision.tire import TireMeasurement, asked
from vision.units import format_reading

_HEADINGS = ("photo of a tire", "result", "value ± U", "truth", "error", "verdict or refusal", "as expected")
# The truth file's name of each quantity by the result's.
_TRUE = {
    "pressure_line_angle": "line_angle_deg", "creep_angle": "creep_angle_deg", "creep_arc": "creep_arc_mm",
    "outside_diameter": "outside_diameter_mm", "loaded_radius": "loaded_radius_mm",
    "deflection": "deflection",
}  # fmt: skip


@dataclass(frozen=True)
class TirePhoto:
    """One photo; `truth` and `expected` by the result's name, in the result's unit."""

    list_name: str
    name: str
    path: Path
    leg_file: str
    truth: Mapping[str, float | None]
    expected: Mapping[str, Mapping[str, Any]]
    request: TireRequest


@dataclass(frozen=True)
class TireRow:
    """One result of one photo beside its truth."""

    photo: TirePhoto
    result: Result

    @property
    def error(self) -> float | None:
        """Value less truth, in the result's unit."""
        true = self.photo.truth[self.result.name]
        return self.result.value - true if isinstance(self.result, Reading) and true is not None else None

    @property
    def holds_truth(self) -> bool:
        """Whether the truth lies in the reading's interval."""
        return (
            isinstance(self.result, Reading)
            and self.error is not None
            and abs(self.error) <= self.result.expanded_uncertainty
        )

    @property
    def as_expected(self) -> bool:
        """Whether everything that the truth file expects of this result came true."""
        got = to_json(self.result)
        return all(got.get(key) == value for key, value in self.photo.expected[self.result.name].items())

    def cells(self) -> tuple[str, ...]:
        """Return the row's texts."""
        true, digits = self.photo.truth[self.result.name], 3 if self.result.name == "deflection" else 2
        if isinstance(self.result, Reading):
            value = format_reading(self.result.value, self.result.expanded_uncertainty, self.result.unit)
            outcome = self.result.verdict.value if self.result.verdict else NONE
        else:
            value, outcome = NONE, self.result.remedy.code
        return (
            f"{self.photo.list_name}/{self.photo.name}",
            title(self.result.name).lower(),
            value,
            NONE if true is None else f"{true:.{digits}f}",
            NONE if self.error is None else f"{self.error:+.{digits}f}",
            outcome,
            "yes" if self.as_expected else "no",
        )


def read_tires(folder: Path) -> list[TirePhoto]:
    """Return the tires' photos of all lists with everything but their pixels read and checked.

    Raises
    ------
    UsageError
        A truth file is unusable.
    LegError
        A leg's data is unusable.
    """
    return [_photo(folder, path) for path in paths_of(folder, OF_TIRES)]


def _photo(folder: Path, path: Path) -> TirePhoto:
    beside = path.with_suffix(".truth.json")
    try:
        told = json.loads(beside.read_text(encoding="utf-8"))
        leg_file, true, expected = str(told["leg_file"]), dict(told["truth"]), dict(told["expected"])
        truth = {name: None if true[key] is None else finite(true[key]) for name, key in _TRUE.items()}
        expected = {name: dict(expected[name]) for name in expected}
    except (OSError, ValueError, TypeError, KeyError) as error:
        msg = (
            f"{beside}: no usable truth ({type(error).__name__}: {error}): it needs leg_file, the quantities "
            f"of a tire in truth ({', '.join(_TRUE.values())}), and expected by the results' names"
        )
        raise UsageError(msg) from error
    request = TireRequest(load_leg(folder / "legs" / leg_file))
    missing = [name for name in asked(request.leg.require_tire()) if name not in expected]
    if missing:
        msg = f"{beside}: expected lacks {', '.join(missing)}: tell what each should be"
        raise UsageError(msg)
    return TirePhoto(path.parent.name, path.stem, path, leg_file, truth, expected, request)


def rows_of(photo: TirePhoto, found: TireMeasurement) -> list[TireRow]:
    """Return a photo's results beside their truth."""
    return [TireRow(photo, result) for result in found.results]


def tire_outcome(rows: Sequence[TireRow]) -> str:
    """Return one photo's results in a few words, for the progress."""
    told = []
    for row in rows:
        verdict = row.result.verdict if isinstance(row.result, Reading) else None
        if verdict is not None:
            told.append(f"{title(row.result.name).lower()} {verdict.value}")
    causes = {row.result.remedy.code: None for row in rows if not isinstance(row.result, Reading)}
    return ", ".join([*told, *causes])


def tire_table(rows: Sequence[TireRow]) -> str:
    """Return the rows as a table, one result a line."""
    return markdown(_HEADINGS, [row.cells() for row in rows])


def tire_summary(rows: Sequence[TireRow]) -> str:
    """Return how many results were read, and how many of these hold their truth."""
    photos = {id(row.photo) for row in rows}
    odd = {id(row.photo) for row in rows if not row.as_expected}
    readings = [row for row in rows if isinstance(row.result, Reading)]
    holding = sum(row.holds_truth for row in readings)
    return (
        f"{len(photos)} photos of tires, {len(rows)} results: readings {len(readings)}, "
        f"refusals {len(rows) - len(readings)}. The truth lies within U in {holding} of {len(readings)} "
        f"readings. {len(photos) - len(odd)} of {len(photos)} photos came out as expected."
    )


def tire_object(row: TireRow) -> dict[str, Any]:
    """Return the row as plain JSON values."""
    return {
        "photo": row.photo.name,
        "list": row.photo.list_name,
        "leg_file": row.photo.leg_file,
        "truth": row.photo.truth[row.result.name],
        "error": row.error,
        "expected": dict(row.photo.expected[row.result.name]),
        "as_expected": row.as_expected,
        "result": to_json(row.result),
    }
