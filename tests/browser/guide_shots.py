"""Writes the user's guide as pages with pictures, each taken from the running demo.

``python -m tests.browser.guide_shots --out build/guide``

A mechanic's phone and an inspector's desk go through the work once, and every picture is
what they saw.  The words are the program's own guide (`app.screens.parts.manual`).
"""

import argparse
import json
import tempfile
from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

from app.screens.parts.manual import CHAPTERS, Chapter
from tests.browser.chromium import DESKTOP, EXECUTABLE, FLAGS, PHONE
from tests.browser.demo_server import PASSWORD, DemoServer
from tests.browser.person import IMAGES, Person

PHOTO = IMAGES / "reads_within" / "right_main_overcast.jpg"
STYLE = """
:root { color-scheme: light dark; }
body { max-width: 44rem; margin: 0 auto; padding: 1.5rem 1rem 4rem; font: 1.0625rem/1.55 system-ui, sans-serif; }
h1 { line-height: 1.2; } li { margin: 0 0 0.5rem; }
nav ol { padding-left: 1.25rem; }
.shots { display: flex; flex-wrap: wrap; gap: 1.25rem; align-items: flex-start; }
figure { margin: 0; max-width: 100%; } figure img { display: block; max-width: 100%; border: 1px solid; }
figure.phone { width: 15rem; } figcaption { margin-top: 0.375rem; }
"""


class Album:
    """The pictures of the guide, by chapter."""

    def __init__(self, out: Path) -> None:
        self.out = out
        self.shots: dict[str, list[tuple[str, str, str]]] = {}

    def take(self, person: Person, chapter: str, name: str, caption: str) -> None:
        """Take what is on a person's screen, from its top."""
        person.settled()
        person.page.wait_for_timeout(700)
        person.page.evaluate("document.querySelector('.stMain')?.scrollTo(0, 0)")
        kind = person.label.partition("-")[0]
        file = f"{chapter}-{name}.png"
        person.page.screenshot(path=str(self.out / file))
        self.shots.setdefault(chapter, []).append((file, kind, caption))


def mechanic_s_round(person: Person, album: Album) -> None:
    """From the legs to a reading that was sent."""
    person.sees("Which leg?")
    album.take(person, "photo", "legs", "The legs of the visit, and where each stands.")
    person.press_on_leg("Right main", "Photograph again")
    person.sees("Go on to the photo")
    album.take(person, "photo", "condition", "The cautions, and the condition to be stated.")
    person.tick_all()
    person.press("Go on to the photo")
    person.sees("Photograph the strut")
    album.take(person, "photo", "camera", "One large button takes or chooses the photo.")
    person.hand_over(PHOTO)
    person.sees("U with 95 % probability")
    album.take(person, "photo", "reading", "The value with its U, held against the plate's limits.")
    person.press("Send to be confirmed")
    person.sees("A second person now reads the bare photo")


def away(person: Person, album: Album) -> None:
    """Photos from the gallery, with the line cut and without."""
    person.go("/")
    person.page.get_by_text("Photos taken without a network").first.click()
    person.page.locator(".gallery .pick").wait_for()
    person.page.route("**/aircraft/*/photos/*", lambda route: route.abort())
    files = [
        str(IMAGES / name) for name in ("reads_within/left_main_sun.jpg", "reads_within/nose_hangar.jpg")
    ]
    person.page.locator(".gallery input[type=file]").set_input_files(files)
    person.sees("The photos are kept on this device")
    album.take(person, "away", "dead-spot", "In a dead spot they wait on the phone.")
    person.page.unroute("**/aircraft/*/photos/*")
    person.try_now()
    person.sees("Waiting for their leg: 2")
    person.page.locator("h2").filter(has_text="Waiting for their leg").scroll_into_view_if_needed()
    album.take(person, "away", "waiting", "Sent once each; the tag in the picture names the leg.")


def inspector_s_desk(person: Person, album: Album) -> None:
    """From the queue to a signature."""
    person.go("/queue")
    person.sees("Waiting for a second person")
    album.take(person, "desk", "queue", "What waits, by time alone.")
    person.press("Read the photo", which=2)
    person.sees("Read the bare photo")
    person.page.locator(".mark").first.wait_for()
    album.take(person, "desk", "bare", "The bare photo, before any value is shown.")
    known = json.loads(PHOTO.with_suffix(".truth.json").read_text(encoding="utf-8"))
    for mark, end in enumerate(("from_px", "to_px")):
        person.place(mark, *known[end])
    person.press("Use these places")
    person.press("Store my reading")
    person.sees("All readings side by side")
    album.take(person, "desk", "side-by-side", "All readings side by side, once one's own is stored.")
    person.fill("Password of Inspector", PASSWORD)
    person.press("Sign")
    person.sees("Signed by")
    person.go("/archive")
    person.sees("confirmed by Inspector")
    album.take(person, "record", "archive", "The archive: every item with its outcome.")
    person.press("The whole story")
    person.sees("Read on the bare photo")
    album.take(person, "record", "story", "The whole story of an item.")
    person.go("/lists?step=tools")
    person.sees("Scale cards")
    album.take(person, "cards", "list", "Cards and instruments with their due dates.")
    person.go("/practice")
    person.page.locator(".mark").first.wait_for()
    album.take(person, "sure", "practice", "Practice on a rendered scene.")


def page(chapter: Chapter, shots: list[tuple[str, str, str]]) -> str:
    """Return a chapter as HTML."""
    steps = "".join(f"<li>{escape(line)}</li>" for line in chapter.steps)
    figures = "".join(
        f'<figure class="{kind}"><img src="{escape(file)}" alt="{escape(caption)}">'
        f"<figcaption>{escape(caption)}</figcaption></figure>"
        for file, kind, caption in shots
    )
    body = f"<p>{escape(chapter.lead)}</p><ol>{steps}</ol><div class=shots>{figures}</div>"
    return html(chapter.title, f'{body}<p><a href="index.html">All chapters</a></p>')


def html(title: str, body: str) -> str:
    """Return a whole page."""
    return (
        f'<!doctype html><html lang="en"><head><meta charset="utf-8"><title>{escape(title)} – Gearwitness</title>'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<style>{STYLE}</style></head><body><h1>{escape(title)}</h1>{body}</body></html>\n"
    )


def write(out: Path, album: Album) -> None:
    """Write the pages beside the pictures."""
    for chapter in CHAPTERS:
        text = page(chapter, album.shots.get(chapter.key, []))
        (out / f"{chapter.key}.html").write_text(text, encoding="utf-8")
    links = "".join(f'<li><a href="{one.key}.html">{escape(one.title)}</a></li>' for one in CHAPTERS)
    told = "<p>Every picture is of the demo: an invented aircraft, rendered scenes, invented people.</p>"
    (out / "index.html").write_text(html("Guide", f"<nav><ol>{links}</ol></nav>{told}"), encoding="utf-8")


def make(browser: Any, demo: DemoServer, out: Path) -> Album:
    """Go through the work and write the guide into a folder; return its pictures."""
    out.mkdir(parents=True, exist_ok=True)
    album = Album(out)
    ways: tuple[tuple[str, dict[str, Any], tuple[Callable[[Person, Album], None], ...]], ...] = (
        ("Mechanic", PHONE, (mechanic_s_round, away)),
        ("Inspector", DESKTOP, (inspector_s_desk,)),
    )
    for name, screen, acts in ways:
        person = Person(browser, demo.url, name, screen, "light")
        for act in acts:
            act(person, album)
        assert person.faults == []
        person.context.close()
    write(out, album)
    return album


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.browser.guide_shots", description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("build") / "guide")
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        demo = DemoServer(Path(folder) / "home")
        demo.start()
        try:
            browser = playwright.chromium.launch(executable_path=str(EXECUTABLE), args=FLAGS)
            album = make(browser, demo, options.out)
            browser.close()
        finally:
            demo.kill()
    print(
        f"{sum(map(len, album.shots.values()))} pictures in {len(CHAPTERS)} chapters: {options.out}/index.html"
    )


if __name__ == "__main__":
    main()
