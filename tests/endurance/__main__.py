"""The long forms of what the tests try shortly: ``python -m tests.endurance WHAT …``; each prints its figures."""

import argparse
import importlib
import importlib.util

COMMANDS = {
    "kill": "a process killed at random points while photos are stored and confirmed",
    "phones": "twenty phones send at once while the desk works",
    "round": "two phones go round three legs while the network is away for ten minutes",
    "people": "ten people at once on PostgreSQL",
    "verify": "verify's speed beside plain hashlib",
    "find": "find pages over many rows",
    "remeasure": "photos measured again by one process, by two, and by a cluster that loses a worker",
}


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.endurance", description=__doc__)
    commands = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    for name, help_ in COMMANDS.items():
        sub = commands.add_parser(name, help=help_)
        module = f"tests.endurance.{name}"
        if importlib.util.find_spec(module) is not None:
            importlib.import_module(module).configure(sub)
    options = parser.parse_args()
    options.run(options)


if __name__ == "__main__":
    main()
