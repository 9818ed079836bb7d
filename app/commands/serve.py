"""`gearwitness serve`: the program in a browser, on the archive of this machine."""

import argparse
from pathlib import Path

from app.commands.numbers import port_number
from app.commands.server import chosen, run_server

HELP = "serve the program to a browser on this machine"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `serve` understands."""
    parser.set_defaults(run=run)
    add_server_options(parser, "folder of the archive (default ~/gearwitness)")


def add_server_options(parser: argparse.ArgumentParser, home: str) -> None:
    """Add what every command understands that starts the server."""
    parser.add_argument("--port", type=port_number, metavar="N", help="port to listen on (default 8501)")
    parser.add_argument("--home", type=Path, metavar="DIR", help=home)


def run(options: argparse.Namespace) -> int:
    """Serve until it is stopped; return the exit status.

    Raises
    ------
    GearwitnessError
        The settings, the port or the archive cannot be used.
    """
    return run_server(chosen(options.port, options.home, demo=False))
