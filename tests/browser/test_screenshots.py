"""Pictures of the pages: what is asked for must exist, and each shot gives a bench, a phone and a grey print."""

from __future__ import annotations

import base64
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page

from compat.pages import urls as page_urls
from inventory.counter import urls
from tests import screenshots
from tests.browser.shots import SHOTS, Shot

# The size of a PNG, and how many of its pixels have a colour.
READ = """async (data) => {
    const answer = await fetch(`data:image/png;base64,${data}`);
    const image = await createImageBitmap(await answer.blob());
    const paper = new OffscreenCanvas(image.width, image.height).getContext("2d");
    paper.drawImage(image, 0, 0);
    const pixels = paper.getImageData(0, 0, image.width, image.height).data;
    let coloured = 0;
    for (let at = 0; at < pixels.length; at += 4) {
        coloured += pixels[at] !== pixels[at + 1] || pixels[at] !== pixels[at + 2];
    }
    return [image.width, image.height, coloured];
}"""


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where pictures go for once."""
    monkeypatch.setattr(screenshots, "ROOT", tmp_path)
    monkeypatch.setattr(screenshots, "FOLDER", tmp_path)
    monkeypatch.setattr(screenshots, "README", tmp_path / "docs" / "bench.png")
    return tmp_path


def test_a_shot_is_taken_at_the_bench_on_a_phone_and_as_a_grey_print(
    folder: Path, browser: Browser, base_url: str, page: Page
) -> None:
    screenshots.take(browser, base_url, Shot("door", None, "/admin/login/"), readme=True)
    found = {
        str(path.relative_to(folder)): page.evaluate(READ, base64.b64encode(path.read_bytes()).decode())
        for path in folder.rglob("*.png")
    }
    assert {name: size[0] for name, size in found.items()} == {
        "door-1280.png": 1280,
        "door-390.png": 390,
        "door-print.png": 794,
        "docs/bench.png": 1280,
    }
    assert found["docs/bench.png"][1] == 800
    assert found["door-1280.png"][2] > 0
    assert found["door-print.png"][2] == 0


def test_a_page_that_is_refused_is_not_taken(folder: Path, browser: Browser, base_url: str) -> None:
    with pytest.raises(RuntimeError, match="/no-such-page answers 404"):
        screenshots.take(browser, base_url, Shot("lost", "lead", "/no-such-page"), readme=False)
    assert list(folder.iterdir()) == []


def test_a_picture_too_large_for_the_readme_is_not_kept(
    folder: Path, browser: Browser, base_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(screenshots, "README_BYTES_MOST", 1000)
    with pytest.raises(RuntimeError, match="1000 are the most"):
        screenshots.take(browser, base_url, Shot("door", None, "/admin/login/"), readme=True)
    assert not screenshots.README.exists()


@pytest.mark.parametrize("words", [["no-such-shot"], ["--readme"]])
def test_a_shot_that_nobody_described_is_refused(
    words: list[str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(screenshots, "SHOTS", [Shot("door", None, "/admin/login/")])
    with pytest.raises(SystemExit):
        screenshots.main(words)
    assert "no shot is named" in capsys.readouterr().err


def test_there_is_a_shot_of_every_page() -> None:
    """A page behind a form, such as a plan, is reached by the steps of a shot that carries its name."""
    reached = {"plan": "plans", "hold": "holds", "delivery": "deliveries"}
    taken = {shot.path.split("?")[0].strip("/").split("/")[0] for shot in SHOTS}
    taken |= {reached[shot.name] for shot in SHOTS if shot.name in reached}
    pages = {str(one.pattern).split("/")[0] for one in [*urls.urlpatterns, *page_urls.urlpatterns]}
    # The lock shows in the shot of a locked computer; signing out and being still here show nothing.
    assert pages - taken == {"sign-out", "switch", "lock", "still-here"}
