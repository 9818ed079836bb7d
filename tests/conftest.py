"""With ``REQUIRE_ALL=1`` a test that would skip fails with the reason it gave.

A test whose browser, server, package or sample files are missing skips by pytest's
own means (`importorskip`, `skipif`, `skip`), always with a reason.  That is kind to
a contributor's machine; where everything can be installed it would hide that a
check was never made.
"""

import os
from collections.abc import Generator

import pytest

REQUIRE_ALL = os.environ.get("REQUIRE_ALL") == "1"


def _unskip(report: pytest.TestReport | pytest.CollectReport) -> None:
    if REQUIRE_ALL and report.skipped and not hasattr(report, "wasxfail"):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"REQUIRE_ALL=1 and yet not run: {reason}"


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    report = yield
    _unskip(report)
    return report


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    report = yield
    _unskip(report)
    return report
