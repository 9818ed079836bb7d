"""Figures, decisions, tables and pictures of made-up rows whose figures are known."""

import json
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import beta

from tests.accuracy.counting import job
from tests.accuracy.decisions import decide
from tests.accuracy.jobs import Row, RowFile, read_rows, run_jobs
from tests.accuracy.plots import write_plots
from tests.accuracy.report import table
from tests.accuracy.stats import Share, large, summary


def row(seed: int, error: float | None, u: float = 0.2, **more: object) -> Row:
    cell = {"set": "fair", "elevation": f"{seed % 3 * 5:+d}°", "extension": "50 mm"}
    common: Row = {"seed": seed, "cell": cell, "truth": 80.0, "notes": []}
    if error is None:
        return common | {"status": "refused", "cause": "blurred", "detail": ""} | more
    return common | {"status": "reading", "error": error, "U": u, "seconds": 1.0} | more


def test_a_share_has_the_exact_interval_of_clopper_and_pearson() -> None:
    low, high = Share(475, 500).interval()
    assert low == pytest.approx(beta.ppf(0.025, 475, 26), abs=1e-9)
    assert high == pytest.approx(beta.ppf(0.975, 476, 25), abs=1e-9)
    # No failure in 59: the share is above 95 % with 95 % confidence one-sided, 0.9394 two-sided.
    assert Share(59, 59).interval()[0] == pytest.approx(0.025 ** (1 / 59), abs=1e-9)


def test_the_binomial_test_accepts_the_coverage_it_should_have_and_rejects_another() -> None:
    assert Share(1900, 2000).p_value(0.95) == pytest.approx(1.0, abs=0.05)
    assert Share(1985, 2000).p_value(0.95) < 1e-6


def test_figures_of_known_rows() -> None:
    found = summary([row(0, 0.1), row(1, -0.3), row(2, None), row(3, 0.2)])
    assert (found.n, found.refused.k, found.coverage.k, found.coverage.n) == (4, 1, 2, 3)
    assert found.bias == pytest.approx(0.0)
    assert found.largest == pytest.approx(0.3)


def test_a_truth_with_its_own_doubt_widens_what_counts_as_covered() -> None:
    assert summary([row(0, 0.3, truth_u=0.15)]).coverage.k == 1
    assert summary([row(0, 0.3)]).coverage.k == 0


def test_large_errors_come_with_the_worst_against_its_own_u_first() -> None:
    bad = large([row(0, 1.5, 2.0), row(1, -1.2, 0.2), row(2, 0.9, 0.1)])
    assert [r["seed"] for r in bad] == [1, 0]


def test_honest_readings_miss_a_truly_outside_item_in_at_most_two_and_a_half_in_a_hundred() -> None:
    rng = np.random.default_rng(3)
    rows = [row(k, float(rng.normal(0, 0.1)), 1.96 * 0.1) for k in range(4000)]
    found = decide(rows)
    assert found.missed.n == 4000
    assert found.missed.value <= 0.025
    assert found.decided[0][1].value > 0.99
    # Without distance to the limit the share is the tail's own 2.5 %.
    nearest = found.missed_each[0][2]
    assert 0.0 < nearest.value < 0.03


def test_readings_that_are_far_off_are_told_as_missed() -> None:
    found = decide([row(k, float((-1) ** k), 0.1) for k in range(400)])
    assert found.missed.value > 0.4


def test_refused_photos_count_against_the_decided_share_of_all_photos() -> None:
    found = decide([row(0, 0.0, 0.1), row(1, None)])
    _, of_readings, of_all = found.decided[0]
    assert (of_readings.value, of_all.value) == (1.0, 0.5)


def test_the_table_names_every_large_error_refusal_and_crash() -> None:
    rows = [row(0, 1.5), row(1, None), row(2, 0.0), row(3, 0.1)]
    rows.append(
        {"seed": 9, "cell": {"set": "hard"}, "truth": 1.0, "status": "crash", "trace": "ValueError: x"}
    )
    text = table(rows)
    assert "fair seed 0: error +1.50 mm, U 0.20 mm, BEYOND U" in text
    assert "fair: blurred × 1" in text
    assert "hard seed 9: ValueError: x" in text


def test_pictures_are_written_as_svg(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    rows = [row(k, float(rng.normal(0, 0.1))) for k in range(50)] + [row(60, None)]
    written = write_plots(rows, tmp_path)
    assert {path.stem for path in written} == {
        "error_against_u",
        "error_over_u",
        "error_by_elevation",
        "error_by_extension",
        "refusals",
    }
    assert all(path.read_text(encoding="utf-8").startswith("<svg") for path in written)


def test_a_run_goes_on_where_it_was_stopped_and_mends_a_line_cut_off(tmp_path: Path) -> None:
    path = tmp_path / "rows.jsonl"
    path.write_text(json.dumps(job(1)) + '\n{"number": 2, "squ', encoding="utf-8")
    wanted = {n: (n,) for n in (1, 2, 3)}
    rows = list(run_jobs(path, wanted, job, lambda r: r["number"], 1))
    assert sorted((r["number"], fresh) for r, fresh in rows) == [(1, False), (2, True), (3, True)]
    assert sorted(r["square"] for r in read_rows(path)) == [1, 4, 9]


def test_rows_are_appended_one_by_one(tmp_path: Path) -> None:
    file = RowFile(tmp_path / "new" / "rows.jsonl")
    file.append({"a": 1})
    file.append({"a": 2})
    assert [r["a"] for r in read_rows(file.path)] == [1, 2]
