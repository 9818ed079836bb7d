"""What would change, as Markdown for people, as CSV for tables, as JSON for scripts."""

import csv
import io
import statistics
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import asdict
from typing import Any

from app.remeasure.changes import ORDER, Change, Kind
from app.remeasure.tasks import Skipped
from vision.units import format_reading

_HEADINGS = ("aircraft", "leg", "photo of", "then", "now", "moves by, mm", "what changes")


def in_order(changes: Iterable[Change]) -> list[Change]:
    """Return the gravest first, then by time; the order does not depend on who measured."""
    return sorted(changes, key=lambda one: (ORDER[one.kind], one.begun_at, one.try_id))


def summary(changes: Sequence[Change], version: str, skipped: Skipped) -> dict[str, Any]:
    """Return counts by kind, and how far values move."""
    counts = Counter(one.kind for one in changes)
    moves = [abs(one.moves) for one in changes if one.moves is not None]
    return {
        "version": version,
        "tries": len(changes),
        "versions_before": dict(Counter(one.version_before or "unknown" for one in changes)),
        "changed": len(changes) - counts[Kind.NOTHING],
        "kinds": {kind.value: counts[kind] for kind in Kind},
        "beyond_u": sum(one.beyond for one in changes),
        "largest_move": max(moves, default=None),
        "median_move": statistics.median(moves) if moves else None,
        "photos_deleted": skipped.deleted,
        "second_photos": skipped.seconds,
    }


def markdown(changes: Sequence[Change], told: dict[str, Any]) -> str:
    """Return the report: what would change first, then how much did not."""
    lines = ["# Measured again", "", f"Version {told['version']}, {told['tries']} photos.", ""]
    lines += [f"- {kind}: {count}" for kind, count in told["kinds"].items() if count]
    then = told["versions_before"].items()
    lines += [f"- read then by {', '.join(f'{version} ({count})' for version, count in sorted(then))}"]
    if told["largest_move"] is not None:
        lines += [
            f"- values move by {told['median_move']:.3f} (median), {told['largest_move']:.3f} at most; "
            f"{told['beyond_u']} by more than the U they had"
        ]
    if told["photos_deleted"]:
        lines += [f"- not measured again, because their photos were deleted: {told['photos_deleted']}"]
    if told["second_photos"]:
        lines += [f"- not measured again, because each only counts beside another: {told['second_photos']}"]
    rows = [_cells(one) for one in changes if one.kind is not Kind.NOTHING]
    if not rows:
        return "\n".join([*lines, "", "Nothing would change.", ""])
    lines += ["", f"| {' | '.join(_HEADINGS)} |", f"|{'---|' * len(_HEADINGS)}"]
    lines += [f"| {' | '.join(row)} |" for row in rows]
    return "\n".join([*lines, "", "No record was touched.", ""])


def as_csv(changes: Sequence[Change]) -> str:
    """Return every try, unchanged ones too."""
    stream = io.StringIO()
    names = list(Change.__dataclass_fields__)
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow([*names, "moves"])
    for one in changes:
        writer.writerow([*(_cell(value) for value in asdict(one).values()), _cell(one.moves)])
    return stream.getvalue()


def as_object(changes: Sequence[Change], told: dict[str, Any]) -> dict[str, Any]:
    """Return the report as plain JSON values."""
    return {"summary": told, "tries": [asdict(one) | {"moves": one.moves} for one in changes]}


def _cells(one: Change) -> tuple[str, ...]:
    moves = "–" if one.moves is None else f"{one.moves:+.3f}{' beyond U' if one.beyond else ''}"
    return (
        one.registration,
        one.position,
        f"{one.begun_at[:10]} {one.begun_at[11:16]} ({one.try_id[:8]})",
        _reading(one.value_before, one.u_before, one.before),
        _reading(one.value_after, one.u_after, one.after),
        moves,
        one.kind.value,
    )


def _reading(value: float | None, u: float | None, said: str) -> str:
    if value is None or u is None:
        return said
    return f"{format_reading(value, u, 'mm')}, {said}"


def _cell(value: Any) -> str:
    text = "" if value is None else str(value)
    # A spreadsheet would take such a text for a formula.
    return f"'{text}" if text[:1] in ("=", "+", "@") else text
