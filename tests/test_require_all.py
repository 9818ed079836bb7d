"""A skip is a skip on a contributor's machine and a failure where everything must run."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

SKIPPING = {
    "mark": "@pytest.mark.skipif(True, reason='no browser here')\ndef test_page(): pass\n",
    "call": "def test_page(): pytest.skip('no browser here')\n",
    "module": "pytest.importorskip('no_such_package', reason='no browser here')\ndef test_page(): pass\n",
    "fixture": "@pytest.fixture\ndef page(): pytest.skip('no browser here')\ndef test_page(page): pass\n",
}
EXPECTED_FAILURE = "@pytest.mark.xfail(reason='known')\ndef test_known(): assert False\n"


def run(folder: Path, content: str, require_all: str) -> subprocess.CompletedProcess[str]:
    shutil.copy(Path(__file__).with_name("conftest.py"), folder)
    (folder / "test_it.py").write_text(f"import pytest\n{content}", encoding="utf-8")
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-ra", "-p", "no:cacheprovider", "--rootdir", folder, folder],
        env=os.environ | {"REQUIRE_ALL": require_all},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize("way", SKIPPING)
def test_a_skip_says_why_and_passes(way: str, tmp_path: Path) -> None:
    ended = run(tmp_path, SKIPPING[way] + "def test_other(): pass\n", "0")
    assert ended.returncode in (0, 5), ended.stdout  # 5: the module's skip leaves no test at all
    assert "SKIPPED" in ended.stdout
    assert "no browser here" in ended.stdout


@pytest.mark.parametrize("way", SKIPPING)
def test_where_all_is_required_the_same_skip_fails_and_says_why(way: str, tmp_path: Path) -> None:
    ended = run(tmp_path, SKIPPING[way], "1")
    assert ended.returncode not in (0, 5), ended.stdout
    assert "REQUIRE_ALL=1 and yet not run: " in ended.stdout
    assert "no browser here" in ended.stdout


def test_where_all_is_required_an_expected_failure_stays_one(tmp_path: Path) -> None:
    ended = run(tmp_path, EXPECTED_FAILURE, "1")
    assert ended.returncode == 0, ended.stdout
    assert "1 xfailed" in ended.stdout
