"""Two phones go round three legs on one aircraft while the network is away for ten minutes, twice.

``python -m tests.endurance round --cut 600``; needs a browser.
"""

import argparse
import tempfile
from pathlib import Path

from axe_core_python.sync_playwright import Axe
from playwright.sync_api import sync_playwright

from tests.app.rounds_house import programme
from tests.browser.chromium import EXECUTABLE, FLAGS
from tests.browser.round_through_cuts import ITEMS, go_round
from tests.browser.shop_server import ShopServer, set_up


def configure(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--cut", type=float, default=600, help="seconds for which nothing gets out, twice")
    parser.set_defaults(run=run)


def run(options: argparse.Namespace) -> None:
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        home = Path(folder) / "home"
        set_up(home, programme(*ITEMS))
        server = ShopServer(home)
        server.start()
        browser = playwright.chromium.launch(executable_path=str(EXECUTABLE), args=FLAGS)
        try:
            held = go_round(browser, server, Axe(), options.cut)
        finally:
            browser.close()
            server.kill()
    double = sum(count - 1 for count in held.answers.values())
    print(
        f"{held.items} items, {len(held.answers)} answered, {double} twice, {held.unsigned} unsigned; "
        f"verify: {len(held.faults)} faults; browsers: {len(held.complaints)} complaints; {held.seconds:.0f} s"
    )
