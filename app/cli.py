"""The command line's door: which command, and what the shell is told when it ends.

Exit 0 every asked value is a reading, 3 at least one refused, 2 wrong use or
unreadable data (a sentence on standard error, nothing on standard output), and
130 when the person stopped it, as shells expect after an interrupt.
"""

import argparse
import sys
import tomllib
import traceback
from collections.abc import Sequence
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path

from app import console

WRONG_USE, INTERRUPTED = 2, 130
_PROGRAM = "gearwitness"


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command that `argv` (by default the process's arguments) asks for; return the exit status."""
    console.prepare()
    try:
        status = _run(argv)
    except KeyboardInterrupt:
        console.complain(f"{_PROGRAM}: stopped before the end")
        status = INTERRUPTED
    console.finish()
    return status


def _run(argv: Sequence[str] | None) -> int:
    # Loading OpenCV and SciPy takes a moment in which a person may press Ctrl-C:
    # only from here on is that caught.
    from vision.errors import GearwitnessError  # noqa: PLC0415

    try:
        options = _parser().parse_args(argv)
        return int(options.run(options))
    except SystemExit as stop:  # argparse has said what it had to say
        return stop.code if isinstance(stop.code, int) else 0
    except GearwitnessError as error:
        console.complain(f"{_PROGRAM}: {error}")
    except OSError as error:
        console.complain(f"{_PROGRAM}: {error}: check the folder and the space left, and try again")
    except Exception as error:  # the last door: a person gets a sentence, never a traceback
        console.complain(f"{_PROGRAM}: {_fault(error)}")
    return WRONG_USE


def _fault(error: Exception) -> str:
    last = traceback.extract_tb(error.__traceback__)[-1]
    where = f"{Path(last.filename).name} line {last.lineno}"
    return (
        f"a fault in the program ({type(error).__name__}: {error}; {where}), no value was given: "
        "keep the photo and the leg's data and report both"
    )


def _parser() -> argparse.ArgumentParser:
    from app.commands import (  # noqa: PLC0415 - see _run
        archive,
        calibrate,
        cards,
        demo,
        enter,
        measure,
        programme,
        search,
        serve,
        study,
    )

    parser = argparse.ArgumentParser(
        prog=_PROGRAM,
        description="Measure landing gear on photos, with a stated doubt; a person confirms every value.",
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"{_PROGRAM} {_version()}")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, module in (
        ("measure", measure), ("search", search), ("calibrate", calibrate), ("cards", cards), ("demo", demo),
        ("serve", serve), ("enter", enter), ("programme", programme), ("archive", archive),
        ("study", study),
    ):  # fmt: skip
        module.configure(
            commands.add_parser(name, help=module.HELP, description=module.HELP, allow_abbrev=False)
        )
    return parser


def _version() -> str:
    try:
        return version(_PROGRAM)
    except PackageNotFoundError:  # run from a clone that was never installed
        project = Path(__file__).resolve().parent.parent / "pyproject.toml"
        return str(tomllib.loads(project.read_text(encoding="utf-8"))["project"]["version"])


if __name__ == "__main__":
    sys.exit(main())
