"""The tire's table: rows of each way of telling apart, the line apart by who told level."""

from typing import Any

from tests.accuracy.tire_table import NAMES, table


def row(seed: int, level_from: str | None, reference: str, error: float, told: str = "") -> dict[str, Any]:
    results = {name: {"true": 100.0, "value": 100.0, "U": 1.0, "budget": {}} for name in NAMES}
    results["pressure_line_angle"] = {"true": 0.0, "value": error, "U": 1.0, "budget": {}}
    return {
        "seed": seed, "kind": "fair", "told": told, "wheel": "right", "seconds": 0.4, "level_from": level_from,
        "reference": reference, "results": results,
    }  # fmt: skip


def line_of(text: str, name: str) -> list[str]:
    return next(
        [cell.strip() for cell in line.split("|")] for line in text.splitlines() if f"| {name} |" in line
    )


def test_the_line_stands_apart_by_who_told_level() -> None:
    text = table(
        [
            row(1, "ground contact", "ground", 0.1),
            row(2, "gravity in the file", "gravity", 0.7),
            row(3, "gravity in the file", "ground", 0.9),
        ]
    )
    largest = {
        name: line_of(text, f"line, level {name}")[7]
        for name in ("by the ground contact", "by gravity", "lent")
    }
    assert largest == {"by the ground contact": "0.100", "by gravity": "0.700", "lent": "0.900"}


def test_photos_told_of_better_are_a_part_of_their_own() -> None:
    text = table(
        [
            row(1, "gravity in the file", "gravity", 0.7),
            row(1, "gravity in the file", "gravity", 0.2, "plumbed"),
        ]
    )
    plain, plumbed = text.split("## fair, plumbed: n 1, seeds 1 to 1")
    assert plain.startswith("## fair: n 1, seeds 1 to 1")
    assert line_of(plain, "line, level by gravity")[7] == "0.700"
    assert line_of(plumbed, "line, level by gravity")[7] == "0.200"


def test_rows_of_before_there_were_ways_are_as_drawn() -> None:
    old = row(1, "ground contact", "ground", 0.1)
    del old["told"]
    assert table([old]).startswith("## fair: n 1")
