"""Pictures of the pages, for whoever looks at them: `python -m tests.screenshots [--readme]`.

Each shot is taken on a copy of the demo workshop: at the bench, on a phone, and as a grey print. They go to
/screenshots, which git ignores; `--readme` also writes the picture of the README.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from pathlib import Path

# First: it sets what the settings read.
from tests import environment  # isort: skip
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.browser.shots import SHOTS, Shot

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "screenshots"
README = ROOT / "docs" / "pictures" / "bench.png"
README_SHOT = "bench"
README_BYTES_MOST = 250_000
# A4 upright at 96 dots an inch.
PAPER = {"width": 794, "height": 1123}


def main(words: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.screenshots", description=__doc__)
    parser.formatter_class = argparse.RawDescriptionHelpFormatter
    parser.add_argument("--readme", action="store_true", help="also write the README's picture")
    parser.add_argument("names", nargs="*", help="only these shots")
    asked = parser.parse_args(words)
    known = {shot.name for shot in SHOTS}
    wanted = set(asked.names or known)
    if asked.readme:
        wanted.add(README_SHOT)
    if wrong := wanted - known:
        parser.error(f"no shot is named {', '.join(sorted(wrong))}; there are {', '.join(sorted(known))}")
    start_django()
    from tests.browser import chromium
    from tests.browser.server import Databases, serving

    FOLDER.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory(prefix="shelf-shots-") as folder,
        serving() as address,
        sync_playwright() as runner,
    ):
        databases = Databases(Path(folder))
        browser = runner.chromium.launch(**chromium.launch_options())
        for shot in SHOTS:
            if shot.name in wanted:
                with databases.copy():
                    take(browser, address, shot, readme=asked.readme and shot.name == README_SHOT)
        browser.close()
        databases.close()
    return 0


def start_django() -> None:
    """Makes Django ready, on a database that goes with this process."""
    environment.prepare()
    os.environ["DJANGO_SETTINGS_MODULE"] = "inventory.project.settings"
    # Playwright keeps an event loop in this thread.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"
    import django

    django.setup()


def take(browser: Browser, address: str, shot: Shot, *, readme: bool) -> None:
    """Writes a shot's pictures: bench, phone, print."""
    from tests.browser import desk

    for screen, size in (("1280", desk.BENCH), ("390", desk.PHONE)):
        with browser.new_context(base_url=address, reduced_motion="reduce", **size) as context:
            page = opened(context, address, shot)
            write(page, f"{shot.name}-{screen}")
            if readme and screen == "1280":
                picture(page)
            if screen == "1280":
                page.set_viewport_size({"width": PAPER["width"], "height": PAPER["height"]})
                page.emulate_media(media="print")
                grey = context.new_cdp_session(page)
                grey.send("Emulation.setEmulatedVisionDeficiency", {"type": "achromatopsia"})
                write(page, f"{shot.name}-print")


def opened(context: BrowserContext, address: str, shot: Shot) -> Page:
    """The page of a shot, with its steps done. Raises RuntimeError when the server does not give the page."""
    from inventory.people.roles import Role
    from tests.browser import desk

    if shot.role:
        desk.enter(context, Role(shot.role), address)
    page = context.new_page()
    answer = page.goto(shot.path, wait_until="networkidle")
    if answer is None or answer.status >= 400:
        raise RuntimeError(f"{shot.path} answers {answer and answer.status}")
    if shot.steps:
        shot.steps(page)
        page.wait_for_load_state("networkidle")
    return page


def write(page: Page, name: str) -> None:
    """The whole page as a PNG."""
    path = FOLDER / f"{name}.png"
    page.screenshot(path=path, full_page=True, animations="disabled")
    print(path.relative_to(ROOT), flush=True)


def picture(page: Page) -> None:
    """What a bench's screen shows of the page, for the README. Raises RuntimeError when it is too large to keep."""
    content = page.screenshot(animations="disabled")
    if len(content) > README_BYTES_MOST:
        raise RuntimeError(f"the README's picture has {len(content)} bytes; {README_BYTES_MOST} are the most")
    README.parent.mkdir(parents=True, exist_ok=True)
    README.write_bytes(content)
    print(README.relative_to(ROOT), flush=True)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
