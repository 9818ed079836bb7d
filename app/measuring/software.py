"""Which program read a photo: kept with each reading, so that versions can be told apart for years."""

import hashlib
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import vision

KEY = "software"
"""Under which a result's evidence tells it."""


@cache
def software() -> str:
    """Return e.g. ``"0.1.0+3f2a9c1b"``: the release, and a hash over everything that measures."""
    root = Path(vision.__file__).resolve().parent
    found = hashlib.sha256()
    for path in sorted((*root.rglob("*.py"), *root.rglob("*.json"))):
        found.update(path.relative_to(root).as_posix().encode("utf-8") + b"\0" + path.read_bytes())
    try:
        released = version("gearwitness")
    except PackageNotFoundError:  # run from a clone that was never installed
        released = "0"
    return f"{released}+{found.hexdigest()[:8]}"


def signed(result: dict[str, Any]) -> dict[str, Any]:
    """Return a result's JSON with the software named in its evidence."""
    return result | {"evidence": result.get("evidence", {}) | {KEY: software()}}
