"""A server with the two widgets and the routes they need, and with faults to order.

The routes keep to the contract of the application's own: PUT /drafts/{id}/photo,
GET /drafts/{id}, GET /photos/{sha}/tile.  Run it with `streamlit run`.
"""

from hashlib import sha256
from pathlib import Path
from urllib.parse import unquote

import streamlit as st
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from tests.browser.components.harness_state import HARNESS
from vision.overlay.tiles import tile


async def put_photo(request: Request) -> Response:
    draft = request.path_params["draft"]
    data = await request.body()
    if HARNESS.upload_answers:
        status, sentence = HARNESS.upload_answers.pop(0)
        HARNESS.log.append({"upload": draft, "status": status, "bytes": len(data)})
        return JSONResponse({"error": sentence}, status)
    name = unquote(request.headers["x-file-name"])
    sha = HARNESS.store(draft, data, name)
    status = 200 if sha else 409
    HARNESS.log.append({"upload": draft, "status": status, "bytes": len(data), "name": name, "sha256": sha})
    if not sha:
        return JSONResponse({"error": "This try has another photo already. Begin a new try."}, 409)
    if HARNESS.answers_to_lose:
        HARNESS.answers_to_lose -= 1
        return Response(status_code=502)
    return JSONResponse({"sha256": sha, "bytes": len(data)})


async def get_draft(request: Request) -> Response:
    if HARNESS.draft_answers:
        return JSONResponse({"error": "out of order"}, HARNESS.draft_answers.pop(0))
    return JSONResponse(HARNESS.state_of(request.path_params["draft"]))


def get_tile(request: Request) -> Response:
    if HARNESS.tile_answers:
        status = HARNESS.tile_answers.pop(0)
        HARNESS.log.append({"tile": status})
        return Response(status_code=status)
    query = {name: int(request.query_params[name]) for name in ("x", "y", "w", "h", "out")}
    body = tile(HARNESS.photos[request.path_params["sha"]], **query)
    HARNESS.log.append({"tile": 200, "bytes": len(body), **query})
    return Response(
        body, media_type="image/jpeg", headers={"Cache-Control": "private, immutable, max-age=3600"}
    )


async def add_photo(request: Request) -> Response:
    data = await request.body()
    sha = sha256(data).hexdigest()
    HARNESS.photos[sha] = data
    return JSONResponse({"sha256": sha})


async def order(request: Request) -> Response:
    HARNESS.reset()
    for name, value in (await request.json()).items():
        setattr(HARNESS, name, value)
    return JSONResponse({})


async def tell(request: Request) -> Response:
    stored = {draft: sha256(kept.data).hexdigest() for draft, kept in HARNESS.drafts.items()}
    return JSONResponse({"log": HARNESS.log, "stored": stored})


app = st.App(
    str(Path(__file__).with_name("harness_page.py")),
    routes=[
        Route("/drafts/{draft}/photo", put_photo, methods=["PUT"]),
        Route("/drafts/{draft}", get_draft),
        Route("/photos/{sha}/tile", get_tile),
        Route("/harness/photo", add_photo, methods=["POST"]),
        Route("/harness/order", order, methods=["POST"]),
        Route("/harness/log", tell),
    ],
)
