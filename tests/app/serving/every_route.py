"""Asks every route of the real application, Streamlit's own among them, as nobody, and prints the answers.

A process of its own, because a process can have one Streamlit only:
``python -m tests.app.serving.every_route HOME``.
"""

import importlib
import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from starlette.routing import Mount, Route, WebSocketRoute
from starlette.testclient import TestClient, WebSocketDenialResponse
from streamlit import config

from app.bootstrap import build, use
from app.settings import Settings
from tests.app.cli_files import ROOT

HOST = "127.0.0.1:8501"


def paths(routes: list[Any], before: str = "") -> Iterator[tuple[str, str]]:
    """Every method and path, with something in the place of each parameter."""
    for route in routes:
        path = before + re.sub(r"\{[^}]*\}", "x", route.path)
        if isinstance(route, Mount):
            yield from paths(list(route.routes or []), path.rstrip("/"))
            yield "GET", f"{path.rstrip('/')}/index.html"
            yield "GET", path or "/"
        elif isinstance(route, WebSocketRoute):
            yield "WEBSOCKET", path
        else:
            assert isinstance(route, Route)
            yield from ((method, path) for method in route.methods or {"GET", "POST", "PUT", "DELETE"})


def status(client: TestClient, method: str, path: str) -> int:
    if method != "WEBSOCKET":
        return client.request(method, path, headers={"accept": "text/html"}).status_code
    try:
        with client.websocket_connect(f"ws://{HOST}{path}"):
            return 101
    except WebSocketDenialResponse as denied:
        return denied.status_code


def main(home: Path) -> None:
    # As the streamlit command does, so that the settings beside asgi.py count.
    config._main_script_path = str(ROOT / "app" / "asgi.py")
    use(build(Settings(home)))
    app = importlib.import_module("app.asgi").app._build_starlette_app()
    client = TestClient(app, f"http://{HOST}", follow_redirects=False, headers={"origin": f"http://{HOST}"})
    found = [[method, path, status(client, method, path)] for method, path in sorted(set(paths(app.routes)))]
    print(json.dumps(found))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
