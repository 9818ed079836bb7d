"""Sets up and starts Gearwitness from a clone: ``python3 app/start.py COMMAND …``.

``test`` runs the project's tests; everything else goes to `gearwitness` as it is, e.g.
``demo --measure-only``.  The first start makes an environment in ``.venv`` and
installs the project into it; later ones look at a stamp and go on at once.

It needs Python and pip and nothing else, so it uses only the standard library and
nothing of the rest of `app`, which needs what is yet to be installed.  It works
where the system's pip is closed (PEP 668), since that pip installs nothing into the
system; and where Debian's python3-venv is missing, with virtualenv, which pip puts
into a folder of its own.
"""

from __future__ import annotations  # an old Python must get as far as being told that it is too old

import hashlib
import os
import shutil
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
ENVIRONMENT = ROOT / ".venv"
_OURS = ENVIRONMENT / "made-by-start"
_WHOLE = "whole"
_TOOL = ROOT / ".local" / "virtualenv"
_OLDEST = (3, 11)
FAILED = 2  # as for any other wrong use of the command line


class SetUpError(Exception):
    """The environment cannot be made; the message says what to do."""


def main(arguments: list[str]) -> int:
    """Make the environment where it is missing, then run what `arguments` ask for in it."""
    try:
        _check_python()
        for_test = arguments[:1] == ["test"]
        if not _is_whole():
            _make()
        _install("test" if for_test else "")
    except SetUpError as error:
        print(f"gearwitness: {error}", file=sys.stderr)
        return FAILED
    except KeyboardInterrupt:
        print("gearwitness: stopped; run the same command again to go on", file=sys.stderr)
        return 130
    if for_test:
        os.chdir(ROOT)
        return _become([str(_python()), "-m", "pytest", *arguments[1:]])
    return _become([str(_python().with_name("gearwitness")), *arguments])


def _say(text: str) -> None:
    # On standard error: standard output belongs to the command that follows.
    print(f"gearwitness: {text}", file=sys.stderr, flush=True)


def _check_python() -> None:
    if sys.version_info < _OLDEST:
        found = ".".join(map(str, sys.version_info[:3]))
        msg = f"Python 3.11 or newer is needed, this is {found} ({sys.executable}): use a newer python3"
        raise SetUpError(msg)


def _python() -> Path:
    return ENVIRONMENT / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def _is_whole() -> bool:
    # A maker that was stopped half-way leaves a Python without pip.
    return _python().exists() and (not _OURS.exists() or _OURS.read_text(encoding="utf-8") == _WHOLE)


def _make() -> None:
    """Make the environment, by venv where it is whole, else by virtualenv."""
    if ENVIRONMENT.exists() and not _OURS.exists():
        msg = f"{ENVIRONMENT} is there but holds no Python: move it away and run again"
        raise SetUpError(msg)
    _say(f"first start: making an environment in {ENVIRONMENT}")
    shutil.rmtree(ENVIRONMENT, ignore_errors=True)
    ENVIRONMENT.mkdir()
    _OURS.touch()
    maker, place = ["venv"], {}
    if not (find_spec("venv") and find_spec("ensurepip")):
        _fetch_virtualenv()
        maker, place = ["virtualenv", "--quiet"], {"PYTHONPATH": str(_TOOL)}
    if not _run([sys.executable, "-m", *maker, str(ENVIRONMENT)], place):
        msg = f"{maker[0]} could not make {ENVIRONMENT} (its words are above)"
        raise SetUpError(msg)
    shutil.rmtree(_TOOL, ignore_errors=True)
    _OURS.write_text(_WHOLE, encoding="utf-8")


def _fetch_virtualenv() -> None:
    if not find_spec("pip"):
        msg = (
            f"{sys.executable} has neither pip nor a whole venv: install one of them "
            "(on Debian the package python3-pip or python3-venv) and run again"
        )
        raise SetUpError(msg)
    _say("this Python has no venv: fetching virtualenv in its place")
    _pip(sys.executable, "--upgrade", "--target", str(_TOOL), "virtualenv")


def _install(extra: str) -> None:
    """Install the project, with an extra or plain (""), unless a stamp says that this very one is."""
    state = _state()
    stamp = ENVIRONMENT / f"installed-{extra or 'plain'}"
    if stamp.exists() and stamp.read_text(encoding="utf-8") == state:
        return
    _say(f"installing what it needs{f' for {extra}' if extra else ''}: a minute or more, once")
    _pip(str(_python()), "--editable", f"{ROOT}[{extra}]" if extra else str(ROOT))
    for done in {stamp, ENVIRONMENT / "installed-plain"}:
        done.write_text(state, encoding="utf-8")


def _state() -> str:
    """Tell what was installed: these settings, in this folder, by this Python."""
    settings = hashlib.sha256((ROOT / "pyproject.toml").read_bytes()).hexdigest()
    # An environment holds its own absolute paths: in a clone that was moved it must be mended.
    return f"{settings}\n{ROOT}\n"


def _pip(python: str, *arguments: str) -> None:
    # Twice quiet: what is left are errors; a build tool's advice to developers is for nobody here.
    command = [python, "-m", "pip", "install", "-qq", "--disable-pip-version-check", *arguments]
    # A person's own settings for pip may force a place that an environment does not allow.
    if not _run(command, {"PIP_USER": "0", "PIP_REQUIRE_VIRTUALENV": "0"}):
        msg = (
            "pip could not install (its words are above): check the network and the space left, "
            "then run the same command again"
        )
        raise SetUpError(msg)


def _run(command: list[str], extra: dict[str, str]) -> bool:
    done = subprocess.run(command, stdout=sys.stderr, env=os.environ | extra, check=False)
    return done.returncode == 0


def _become(command: list[str]) -> int:
    """Put the command in this process's place, so that signals and exit status are its own."""
    if os.name == "posix":
        os.execv(command[0], command)
    return subprocess.run(command, check=False).returncode


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
