"""What is loaded with the server's start is not looked through again after every run of a page."""

import json
import subprocess
import sys
from pathlib import Path

from tests.app.cli_files import ROOT


def test_a_collection_looks_through_what_the_pages_make_and_not_what_is_loaded(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.app.serving.after_start", tmp_path / "home"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout.splitlines()[-1])
    assert found["before"] > 100_000
    assert found["pages"] > 50, "else the first page would load them, and every collection look through them"
    assert found["after"] < found["before"] / 20
