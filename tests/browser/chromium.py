"""How the tests start Chromium, and the screens they look through."""

from pathlib import Path
from typing import Any

EXECUTABLE = Path("/usr/bin/chromium")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PHONE: dict[str, Any] = {
    "viewport": {"width": 390, "height": 844},
    "device_scale_factor": 3,
    "has_touch": True,
    "is_mobile": True,
}
DESKTOP: dict[str, Any] = {"viewport": {"width": 1280, "height": 900}, "device_scale_factor": 1}
