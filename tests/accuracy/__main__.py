"""``python -m tests.accuracy COMMAND …``: one benchmark; see the docstring of `tests.accuracy`."""

import importlib
import os
import sys

COMMANDS = {
    "strut": "bias, spread, coverage, refusals and decisions of the strut reading",
    "faults": "seeded faults: wrong stand-off, diameters, bent card, print scale",
    "edges": "sub-pixel edges of synthetic strips against the inverse-Fisher bound",
    "speed": "time and memory from JPEG bytes to a reading",
    "tire": "the wheel's readings",
    "tire_speed": "time and memory from JPEG bytes to a tire's results",
    "hose": "recall and false flags of the hose search",
    "surface": "recall and false flags of the surface search",
    "real": "hose and surface search on photographs that packages carry",
}
# Several processes measure at once: a library's own threads would only be in each other's way.
THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")


def main(argv: list[str]) -> int:
    """Run one command; the libraries are loaded after their threads were limited."""
    if not argv or argv[0] not in COMMANDS:
        lines = [f"  {name:10} {text}" for name, text in COMMANDS.items()]
        print("usage: python -m tests.accuracy COMMAND …, COMMAND one of", *lines, sep="\n", file=sys.stderr)
        return 0 if argv and argv[0] in ("-h", "--help") else 2
    if argv[0] != "speed":  # which times one photo alone, as a user's machine measures it
        for name in THREADS:
            os.environ.setdefault(name, "1")
    return int(importlib.import_module(f"tests.accuracy.{argv[0]}").main(argv[1:]) or 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
