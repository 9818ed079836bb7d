"""Running the command line in the test's own process, on small files made for it."""

import contextlib
import io
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from app.cli import main
from tests.scenes.photo_files import encoded, smooth_picture
from vision import notes
from vision.results import BudgetLine, Limits, Reading, Refusal, Verdict

ROOT = Path(__file__).resolve().parent.parent.parent
LEG = """\
aircraft = "ZZ-GWT"
position = "left main"
document = "Aster 210 demo manual 32-10-05 rev 3"
[strut]
extension_mm = 88.9
lower_mm = 82.55
upper_mm = 95.25
plate_text = "3 1/2 in"
measured_from = "band"
measured_to = "collar"
piston_diameter_mm = 62.0
collar_diameter_mm = 98.0
"""
SPRING = 'aircraft = "ZZ-GWT"\nposition = "tail"\n[strut]\nform = "spring"\n'
READING = Reading(
    "strut_extension",
    90.21,
    "mm",
    0.42,
    budget=(BudgetLine("band edge", 0.05), BudgetLine("card print", 0.2), BudgetLine("focal length", 1e-5)),
    evidence={"from_px": [1.0, 2.0]},
    notes=(notes.EXTENSION_ONLY,),
    limits=Limits(82.55, 95.25, "demo manual"),
    verdict=Verdict.WITHIN,
)
REFUSAL = Refusal("strut_extension", notes.NO_CARD)


@dataclass(frozen=True)
class Ended:
    """How a run ended."""

    status: int
    out: str
    err: str


def cli(*arguments: object) -> Ended:
    """Run the command line here."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        status = main([str(argument) for argument in arguments])
    return Ended(status, out.getvalue(), err.getvalue())


def process(arguments: Sequence[object], cwd: Path, **options: Any) -> "subprocess.Popen[str]":
    """Start the command line as a process of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "app.cli", *map(str, arguments)],
        cwd=cwd,
        env={"PYTHONPATH": str(ROOT), "PATH": "", **options.pop("env", {})},
        text=True,
        encoding="utf-8",
        **options,
    )


def leg_file(folder: Path, text: str = LEG) -> Path:
    path = folder / "LEG.toml"
    path.write_text(text, encoding="utf-8")
    return path


def photo_file(folder: Path, name: str = "photo.jpg", size: tuple[int, int] = (64, 48)) -> Path:
    path = folder / name
    path.write_bytes(encoded(smooth_picture(*size)))
    return path


class Recorder:
    """A measurer that answers what it is told and remembers what it was asked."""

    def __init__(self, *answers: Reading | Refusal) -> None:
        self.answers = list(answers)
        self.asked: list[dict[str, Any]] = []

    def __call__(self, photo: object, leg: object, cards: object, **known: Any) -> Reading | Refusal:
        self.asked.append({"photo": photo, "leg": leg, "cards": cards, **known})
        return self.answers[(len(self.asked) - 1) % len(self.answers)]
