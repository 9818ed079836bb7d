"""`gearwitness serve`: the program in a browser, on the archive of this machine."""

import argparse
from dataclasses import replace
from pathlib import Path

from app.commands.numbers import port_number
from app.commands.server import chosen, run_server
from app.errors import UsageError

HELP = "serve the program to a browser on this machine, and with --lan to phones in the network"


def configure(parser: argparse.ArgumentParser) -> None:
    """Add what `serve` understands."""
    parser.set_defaults(run=run)
    add_server_options(parser, "folder of the archive (default ~/gearwitness)")
    parser.add_argument(
        "--lan", action="store_true", help="let registered phones in the same network in, by TLS"
    )
    parser.add_argument(
        "--certificate", type=Path, metavar="FILE", help="PEM certificate (default: one is made and renewed)"
    )
    parser.add_argument("--key", type=Path, metavar="FILE", help="PEM key of the certificate, no password")


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
    settings = chosen(options.port, options.home, demo=False)
    given = (options.certificate, options.key)
    if any(given):
        absolute = [None if one is None else one.absolute() for one in given]
        settings = replace(settings, certificate=absolute[0], certificate_key=absolute[1])
    if options.lan:
        settings = replace(settings, lan=True)
    elif any(given) and not settings.lan:
        msg = "--certificate and --key are for phones in the network: give --lan too, or leave them out"
        raise UsageError(msg)
    return run_server(settings)
