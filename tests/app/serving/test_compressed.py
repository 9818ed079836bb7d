"""What goes out compressed: the page's own files, for who takes it, and nothing that people entered."""

import pytest
from starlette.applications import Starlette
from starlette.middleware import Middleware
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.routing import Route
from starlette.testclient import TestClient

from app.serving.compressed import CompressedFiles

WORDS = "const words = 'the same again';\n" * 2000


async def answer(request: Request) -> Response:
    return PlainTextResponse(WORDS, media_type="text/javascript")


@pytest.fixture
def client() -> TestClient:
    routes = [Route(path, answer) for path in ("/static/js/index.js", "/drafts/1", "/not/static/1")]
    return TestClient(Starlette(routes=routes, middleware=[Middleware(CompressedFiles)]))


def test_a_file_of_the_page_is_compressed_and_comes_out_as_it_was(client: TestClient) -> None:
    got = client.get("/static/js/index.js", headers={"accept-encoding": "gzip"})
    assert got.headers["content-encoding"] == "gzip"
    assert int(got.headers["content-length"]) < len(WORDS) / 10
    assert got.text == WORDS


def test_who_takes_no_compression_gets_the_file_as_it_is(client: TestClient) -> None:
    got = client.get("/static/js/index.js", headers={"accept-encoding": "identity"})
    assert "content-encoding" not in got.headers
    assert got.text == WORDS


@pytest.mark.parametrize("path", ["/drafts/1", "/not/static/1"])
def test_what_people_entered_is_not_compressed(client: TestClient, path: str) -> None:
    got = client.get(path, headers={"accept-encoding": "gzip"})
    assert "content-encoding" not in got.headers
    assert got.text == WORDS
