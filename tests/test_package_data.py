"""What an installed wheel carries beside the code: every file that lies in the packages, and no more."""

import glob
import tomllib

import pytest

from tests.test_layers import ROOT

NOT_OURS = {".py", ".pyc"}


def named(package: str) -> set[str]:
    """Files that pyproject.toml's patterns find, which follow the same rules here as at the build."""
    settings = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    found: set[str] = set()
    for name, patterns in settings["tool"]["setuptools"]["package-data"].items():
        if name.split(".")[0] == package:
            folder = ROOT.joinpath(*name.split("."))
            for pattern in patterns:
                # pathlib's also finds what is hidden, which the build's does not.
                paths = glob.glob(pattern, root_dir=folder, recursive=True)  # noqa: PTH207
                found |= {(folder / path).relative_to(ROOT).as_posix() for path in paths}
    return found


@pytest.mark.parametrize("package", ["app", "vision"])
def test_every_file_beside_the_code_goes_into_the_wheel(package: str) -> None:
    there = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / package).rglob("*")
        if path.is_file() and path.suffix not in NOT_OURS
    }
    assert there == named(package)
    assert there


def test_streamlit_s_settings_are_among_them() -> None:
    assert "app/.streamlit/config.toml" in named("app")
