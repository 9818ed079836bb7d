"""Decisions near the limits, from the same readings: limits are laid about each truth as if by the plate.

No picture is made anew: a reading's value and U do not depend on the limits,
so a limit 0 to 1 mm from the truth can be laid to every row.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tests.accuracy.jobs import Row
from tests.accuracy.stats import Share, readings
from vision.results import Limits, Verdict
from vision.verdict import judge

STREAM = 41
FAR_MM = 1000.0
NEAR_MM = 1.0
INSIDE_MM = (1.0, 1.5, 2.0, 3.0)


@dataclass(frozen=True)
class Decisions:
    """What was called what.

    Attributes
    ----------
    missed : Share
        Truly outside by 0 to 1 mm, yet called within, of the readings; 0.025 is allowed.
    missed_each : tuple of (mm from, mm to, Share)
        The same by how far outside.
    called_outside : Share
        Of those, called outside.
    decided : tuple of (mm inside, Share of readings, Share of all photos)
        Truly inside by so much, called within.
    false_alarms : Share
        Truly inside by 0 to 1 mm, called outside.
    """

    missed: Share
    missed_each: tuple[tuple[float, float, Share], ...]
    called_outside: Share
    decided: tuple[tuple[float, Share, Share], ...]
    false_alarms: Share


def decide(rows: Sequence[Row]) -> Decisions:
    """Lay one limit to every row: side and distance drawn from the row's own seed, so for ever the same."""
    read = readings(rows)
    sides, steps = _drawn(len(read))
    outside = [_judged(row, side, -step) for row, side, step in zip(read, sides, steps, strict=True)]
    inside = [_judged(row, side, step) for row, side, step in zip(read, sides, steps, strict=True)]
    each = []
    for low, high in ((0.0, 0.1), (0.1, 0.25), (0.25, 0.5), (0.5, 1.0)):
        chosen = [v for v, step in zip(outside, steps, strict=True) if low <= step < high]
        each.append((low, high, _share(chosen, Verdict.WITHIN)))
    decided = []
    for room in INSIDE_MM:
        called = [_judged(row, side, room) for row, side in zip(read, sides, strict=True)]
        share = _share(called, Verdict.WITHIN)
        decided.append((room, share, Share(share.k, len(rows))))
    return Decisions(
        _share(outside, Verdict.WITHIN),
        tuple(each),
        _share(outside, Verdict.OUTSIDE),
        tuple(decided),
        _share(inside, Verdict.OUTSIDE),
    )


def _drawn(count: int) -> tuple[np.ndarray, np.ndarray]:
    rng = np.random.default_rng(STREAM)
    return rng.choice([-1, 1], count), rng.uniform(0, NEAR_MM, count)


def _judged(row: Row, side: int, room: float) -> Verdict | None:
    """The verdict with a limit `room` beyond the truth (negative: short of it), at the upper or lower side."""
    truth, value = row["truth"], row["truth"] + row["error"]
    limit = truth + side * room
    limits = Limits(limit - FAR_MM, limit) if side > 0 else Limits(limit, limit + FAR_MM)
    return judge(value, row["U"], limits)


def _share(verdicts: Sequence[Verdict | None], wanted: Verdict) -> Share:
    return Share(sum(v == wanted for v in verdicts), len(verdicts))


def decision_lines(name: str, rows: Sequence[Row]) -> list[str]:
    """The decisions of one set as Markdown."""
    if not readings(rows):
        return []
    found = decide(rows)
    lines = [
        f"Decisions, {name}: truly outside by 0–1 mm and called within: {found.missed} (0.025 allowed); "
        f"called outside {found.called_outside.value:.3f}. Truly inside by 0–1 mm and called outside: "
        f"{found.false_alarms}.",
        "",
        "| truly outside by mm | called within |",
        "|---|---|",
    ]
    lines += [f"| {low:g}–{high:g} | {share} |" for low, high, share in found.missed_each]
    lines += ["", "| truly inside by mm | called within, of readings | of all photos |", "|---|---|---|"]
    return lines + [f"| {room:g} | {share} | {whole} |" for room, share, whole in found.decided] + [""]
