"""A programme's version: the SHA-256 of its content, not of its file.

Comments, spaces, line ends and the order of keys within a table say nothing to
the reader and change nothing here; every value and the order of lists do.  The
content is taken as it is written, before any default: a later release with
another default or another key must not change the version of a file that nobody
touched.
"""

import hashlib
import json
from collections.abc import Mapping
from typing import Any


def version_of(content: Mapping[str, Any]) -> str:
    """Return the version, in hex, of what a valid programme's TOML says (texts, flags, lists, tables)."""
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
    return hashlib.sha256(text.encode("utf-8")).hexdigest()
