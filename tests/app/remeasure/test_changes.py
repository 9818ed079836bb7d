"""What would change is told by kind, gravest first, and the journal survives a stop."""

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from app.errors import UsageError
from app.remeasure.again import Answer
from app.remeasure.changes import Kind, change_of
from app.remeasure.journal import Journal
from app.remeasure.table import as_csv, as_object, in_order, markdown, summary
from app.remeasure.tasks import Skipped, Task
from tests.app.records_house import reading, refusal
from vision import notes


def result(value: float, u: float = 0.4) -> dict[str, Any]:
    return reading(value, u).result


REFUSED, BLURRED = refusal().result, refusal(notes.BLURRED).result


def line(before: Any, after: Any, name: str = "a") -> dict[str, Any]:
    return {
        "try": name, "registration": "ZZ-GWT", "position": "nose", "begun_at": "2024-05-01T08:00:00.000000+00:00",
        "before": before, "after": after,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("before", "after", "kind"),
    [
        (result(88.9), result(88.9), Kind.NOTHING),
        (result(88.9), result(88.9009), Kind.NOTHING),
        (result(88.9), result(88.902), Kind.VALUE),
        (result(88.9), result(88.9, 0.5), Kind.UNCERTAINTY),
        (result(88.9), result(97.0), Kind.VERDICT),
        (result(94.0, 0.4), result(94.0, 1.5), Kind.VERDICT),
        (result(88.9), REFUSED, Kind.TO_REFUSAL),
        (REFUSED, result(88.9), Kind.TO_READING),
        (REFUSED, REFUSED, Kind.NOTHING),
        (REFUSED, BLURRED, Kind.CAUSE),
        (result(88.9), None, Kind.FAILED),
        (REFUSED, None, Kind.FAILED),
        (None, result(88.9), Kind.MEASURABLE),
        (None, None, Kind.NOTHING),
    ],
)
def test_a_change_has_its_kind(before: Any, after: Any, kind: Kind) -> None:
    assert change_of(line(before, after)).kind is kind


def test_a_move_beyond_the_uncertainty_that_it_had_is_marked() -> None:
    assert change_of(line(result(88.9, 0.4), result(89.31, 0.4))).beyond
    assert not change_of(line(result(88.9, 0.4), result(89.29, 0.4))).beyond
    assert change_of(line(result(88.9), result(89.0))).moves == pytest.approx(0.1)


def test_the_gravest_comes_first_and_the_order_is_the_same_whoever_measured() -> None:
    lines = [
        line(result(88.9), result(88.9), "d"),
        line(result(88.9), result(89.0), "c"),
        line(result(88.9), REFUSED, "b"),
        line(result(88.9), result(97.0), "a"),
    ]
    assert [one.try_id for one in in_order(map(change_of, lines))] == ["a", "b", "c", "d"]
    assert in_order(map(change_of, lines)) == in_order(map(change_of, reversed(lines)))


def test_the_report_names_what_changes_and_counts_what_does_not() -> None:
    changes = in_order(
        map(change_of, [line(result(88.9), result(97.0), "a" * 32), line(REFUSED, REFUSED, "b" * 32)])
    )
    told = summary(changes, "1.0+ab", Skipped(deleted=2))
    text = markdown(changes, told)
    assert (
        "| ZZ-GWT | nose | 2024-05-01 08:00 (aaaaaaaa) | 88.9 mm ± 0.4 mm, within | 97.0 mm ± 0.4 mm, outside |"
        in text
    )
    assert "- verdict: 1" in text
    assert "- nothing: 1" in text
    assert "deleted: 2" in text
    assert "bbbbbbbb" not in text
    assert "read then by unknown (2)" in text
    assert "No record was touched." in text
    assert json.loads(json.dumps(as_object(changes, told)))["summary"]["changed"] == 1
    rows = list(csv.DictReader(io.StringIO(as_csv(changes))))
    assert [row["kind"] for row in rows] == ["verdict", "nothing"]
    assert float(rows[0]["moves"]) == pytest.approx(8.1)


def test_the_version_that_read_it_then_is_told(tmp_path: Path) -> None:
    before = result(88.9) | {"evidence": {"software": "0.9+ab"}}
    assert change_of(line(before, result(88.9))).version_before == "0.9+ab"


def test_a_text_that_a_spreadsheet_would_compute_is_quoted() -> None:
    told = change_of(line(REFUSED, REFUSED) | {"registration": "=1+1"})
    assert "'=1+1" in as_csv([told])


def test_nothing_to_change_is_said_so() -> None:
    changes = [change_of(line(REFUSED, REFUSED))]
    assert "Nothing would change." in markdown(changes, summary(changes, "1", Skipped()))


TASK = Task("a", "ZZ-GWT", "nose", "2024", "f" * 64, "", {}, None, "no photo")


def test_the_journal_knows_what_this_version_has_measured(tmp_path: Path) -> None:
    with Journal(tmp_path / "j", "1") as journal:
        assert not journal.has(TASK)
        journal.add(TASK, Answer("1", result(88.9), None, 1.0))
    with Journal(tmp_path / "j", "1") as journal:
        assert journal.has(TASK)
        (kept,) = journal.lines
        assert kept["after"]["value"] == 88.9
    with Journal(tmp_path / "j", "2") as journal:
        assert not journal.has(TASK)
        assert journal.lines == ()


def test_a_line_that_a_crash_cut_off_is_measured_again(tmp_path: Path) -> None:
    with Journal(tmp_path / "j", "1") as journal:
        journal.add(TASK, Answer("1", None, "no", 1.0))
    whole = (tmp_path / "j").read_bytes()
    for cut in (1, 10, len(whole) - 1):
        (tmp_path / "j").write_bytes(whole + whole[:-cut])
        with Journal(tmp_path / "j", "1") as journal:
            assert len(journal.lines) == 1
        assert (tmp_path / "j").read_bytes() == whole


def test_a_file_that_is_no_journal_is_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "j").write_text("my letters\n")
    with pytest.raises(UsageError, match="holds something else than answers"):
        Journal(tmp_path / "j", "1")
    assert (tmp_path / "j").read_text() == "my letters\n"
