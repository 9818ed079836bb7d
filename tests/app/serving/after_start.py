"""Starts the house of the real application and prints how many objects a collection looks through, before and after.

A process of its own, because a process can have one house and one Streamlit only:
``python -m tests.app.serving.after_start HOME``.
"""

import asyncio
import gc
import importlib
import json
import sys
from pathlib import Path

from app.bootstrap import build, use
from app.settings import Settings


async def counted(home: Path) -> dict[str, int]:
    """Return the counts, and how many of the pages' modules were loaded with the start."""
    use(build(Settings(home)))
    asgi = importlib.import_module("app.asgi")
    before = len(gc.get_objects())
    async with asgi._open(asgi.app):
        pages = sum(name.startswith("app.screens.") for name in sys.modules)
        return {"before": before, "after": len(gc.get_objects()), "pages": pages}


if __name__ == "__main__":
    print(json.dumps(asyncio.run(counted(Path(sys.argv[1])))))
