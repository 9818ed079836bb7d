"""The server in this process, from settings to its end."""

import os
import signal
import socket
import sys
from dataclasses import replace
from pathlib import Path

import app
from app import console
from app.commands.server_told import network_told
from app.errors import UsageError
from app.settings import Settings, read


def chosen(port: int | None, home: Path | None, *, demo: bool) -> Settings:
    """Return the settings of the environment, with what the command line says instead.

    Raises
    ------
    UsageError
        A setting cannot be read.
    """
    settings = replace(read(os.environ), demo=demo)
    if port is not None:
        settings = replace(settings, port=port)
    return settings if home is None else replace(settings, home=home.absolute())


def run_server(settings: Settings, images: Path | None = None, told: str = "") -> int:
    """Serve until the person stops it; return the exit status.

    Parameters
    ----------
    settings : Settings
    images : Path, optional
        The demo's photos, in the demo.
    told : str
        What is said beside the address once everything is ready to start.

    Raises
    ------
    UsageError
        The port is taken, or these settings cannot be served.
    ArchiveError
        The archive cannot be opened.
    """
    network = None
    if settings.lan:
        from app.serving.lan.network import network_of  # noqa: PLC0415 - brings the database with it

        network = network_of(settings)
        settings = replace(settings, address=network.address)
    elif not settings.demo:  # a demo's own check is stricter, and says why
        _require_loopback(settings)
    _check_free(settings)
    # Loaded only here: measuring on the command line needs neither database nor pages.
    from streamlit.web import cli  # noqa: PLC0415

    from app.bootstrap import build, use  # noqa: PLC0415

    if settings.oidc_issuer or settings.oidc_client_id:
        from app.serving.provider.set_up import provider_of  # noqa: PLC0415

        provider_of(settings)  # half a provider is told before anything starts
    house = use(build(settings, images))
    if network is None:
        console.say(f"Gearwitness: http://{settings.address}:{settings.port}\n{told}Stop with Ctrl-C.")
    else:
        console.say(network_told(network, house.people.devices.new_code()))
    script = Path(app.__file__).resolve().parent / "asgi.py"
    options = {
        # On the command line, because a person's own configuration yields to nothing else.
        "server.address": settings.address,
        "server.port": str(settings.port),
        "server.headless": "true",
        "browser.gatherUsageStats": "false",
        "server.enableAgentApi": "false",
    }
    if network is not None:
        options |= {
            "server.sslCertFile": str(network.certificate.certificate),
            "server.sslKeyFile": str(network.certificate.key),
            # Else Streamlit asks a server elsewhere which address this network has outside.
            "browser.serverAddress": network.shown[0],
        }
    # The server puts these back and calls them once it has ended, so that what began here ends too;
    # a person who stops it has done nothing wrong.
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda number, frame: sys.exit(0))
    sys.argv = ["streamlit", "run", str(script), *(f"--{name}={value}" for name, value in options.items())]
    try:
        cli.main()
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 0
    return 0


def _require_loopback(settings: Settings) -> None:
    """Refuse to send passwords and photos in clear over a network.

    Raises
    ------
    UsageError
        Others reach this address.
    """
    from app.bootstrap import is_loopback  # noqa: PLC0415 - brings the database with it

    if not is_loopback(settings.address):
        msg = (
            f"other machines reach {settings.address}, and without TLS everybody there could read along: "
            "give --lan, or leave the address at 127.0.0.1"
        )
        raise UsageError(msg)


def _check_free(settings: Settings) -> None:
    """Check that the address can be listened on, because Streamlit would only write a line to its log."""
    family = socket.AF_INET6 if ":" in settings.address else socket.AF_INET
    with socket.socket(family) as trial:
        if os.name != "nt":
            trial.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            trial.bind((settings.address, settings.port))
        except OSError as error:
            where = f"{settings.address}:{settings.port}"
            msg = f"{where} cannot be listened on ({error.strerror or error}): choose another with --port"
            raise UsageError(msg) from error
