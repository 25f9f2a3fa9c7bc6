"""The opening shelf by page: checked first, kept between the two steps, loaded once."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client as Browser
from django.urls import reverse

from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.common import clock
from inventory.common.errors import DomainError
from inventory.counter.taking_in import opening, opening_files
from inventory.counter.taking_in.opening import EXAMPLE, MOST_FAULTS
from inventory.receiving.opening import loading
from inventory.receiving.selectors import check_opening
from inventory.stock import replay
from inventory.stock.models import Drawer, Lot, Movement
from tests import factories, people
from tests.conftest import HeldClock
from tests.counter.test_take_in import hidden_key, signed_in

pytestmark = pytest.mark.django_db
ADDRESS = "/take-in/opening"
HEADER = "part,kind,name,od_mm,thickness_mm,bore_mm,lot,drawer,quantity"
ROW = "S-1,shim,Shim,34,0.15,12,L-1,B-03,40"


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, settings: Any) -> Iterator[Path]:
    """Where files wait between the two steps."""
    settings.DATA = tmp_path
    yield tmp_path / "opening"
    assert replay.faults() == []


@pytest.fixture
def clerk(client: Browser) -> Browser:
    return signed_in(client, people.clerk())


def csv(*rows: str, header: str = HEADER) -> bytes:
    return "\n".join([header, *rows]).encode()


def check(browser: Browser, content: bytes, name: str = "shelf.csv") -> Any:
    return browser.post(ADDRESS, {"file": SimpleUploadedFile(name, content)})


def put(browser: Browser, html: str) -> Any:
    digest = re.search(r'name="file" value="([0-9a-f]{64})"', html)
    assert digest is not None
    return browser.post(ADDRESS, {"file": digest[1], "once": hidden_key(html)})


def checked(browser: Browser, content: bytes) -> str:
    """The page after a file was found good."""
    sent = check(browser, content)
    assert (sent.status_code, sent["Location"]) == (303, ADDRESS)
    return browser.get(ADDRESS).content.decode()


def waiting(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir()) if folder.exists() else []


def shown(html: str) -> dict[str, str]:
    """The amounts that the page promises."""
    return dict(re.findall(r"<dt>([a-z ]+)</dt><dd class=\"big\">(\d+)</dd>", html))


# --- checking


def test_a_good_file_shows_what_it_would_bring_and_writes_nothing(clerk: Browser) -> None:
    factories.stocked(factories.shim(number="S-1"), 1, drawer="B-03")
    html = checked(clerk, csv(ROW, "S-1,shim,Shim,34,0.15,12,L-2,B-04,2", "S-2,shim,Shim,34,0.2,12,L-3,B-04,3"))
    assert "shelf.csv is good" in html
    assert shown(html) == {"lots": "3", "pieces": "45", "new parts": "1", "new drawers": "1"}
    assert not Lot.objects.filter(number="L-1").exists() and not Drawer.objects.filter(code="B-04").exists()


def test_the_file_is_put_on_the_shelf_without_choosing_it_again(clerk: Browser, folder: Path) -> None:
    html = checked(clerk, csv(ROW, "S-2,shim,Shim,34,0.2,12,L-3,B-04,3"))
    assert len(waiting(folder)) == 1
    sent = put(clerk, html)
    assert (sent.status_code, sent["Location"]) == (303, reverse("take-in"))
    said = clerk.get(sent["Location"]).content.decode()
    assert "2 lots with 43 pieces are on the shelf (2 new parts, 2 new drawers)." in said
    assert set(Lot.objects.values_list("number", flat=True)) == {"L-1", "L-3"}
    clerk_person = people.clerk().person
    assert clerk_person is not None
    assert set(Movement.objects.values_list("person", flat=True)) == {clerk_person.pk}
    assert waiting(folder) == []
    assert 'type="file"' in clerk.get(ADDRESS).content.decode()


def test_sent_twice_it_loads_once(clerk: Browser) -> None:
    html = checked(clerk, csv(ROW))
    answers = [put(clerk, html) for _ in range(2)]
    assert [(one.status_code, one["Location"]) for one in answers] == [(303, reverse("take-in"))] * 2
    assert Lot.objects.count() == 1


def test_a_second_tab_with_the_same_file_is_told_that_it_is_gone(clerk: Browser) -> None:
    first = checked(clerk, csv(ROW))
    second = clerk.get(ADDRESS).content.decode()
    put(clerk, first)
    refused = put(clerk, second)
    assert refused.status_code == 422
    assert "not kept any more; choose it again" in refused.content.decode()
    assert Lot.objects.count() == 1


def test_faults_are_shown_by_line_column_and_cure(clerk: Browser, folder: Path) -> None:
    refused = check(clerk, csv("S-1,shim,Shim,34mm,0.15,12,L-1,B-03,40", "S-2,shim,,34,0.2,12,L-1,B-04,x"))
    rows = re.findall(r'<td class="number">(\d+)</td><td>([^<]+)</td><td>([^<]+)</td>', refused.content.decode())
    assert refused.status_code == 422
    assert [(line, column) for line, column, _ in rows] == [
        ("2", "od_mm"),
        ("3", "name"),
        ("3", "quantity"),
        ("3", "lot"),
    ]
    assert "without a unit" in rows[0][2]
    assert "4 faults. Mend the file and choose it again." in refused.content.decode()
    assert not Lot.objects.exists() and waiting(folder) == []


def test_what_contradicts_the_shelf_is_a_fault_too(clerk: Browser) -> None:
    factories.stocked(factories.shim(number="S-1", od_mm=30), 1, lot="L-1")
    html = check(clerk, csv(ROW)).content.decode()
    assert "is on the shelf already" in html and "in the catalogue with other sizes" in html


def test_many_faults_are_cut_short_and_counted(clerk: Browser) -> None:
    rows = [f"S-{number},shim,Shim,34,0.15,12,L-{number},B-03,0" for number in range(MOST_FAULTS + 5)]
    html = check(clerk, csv(*rows)).content.decode()
    assert html.count("<tr><td") == MOST_FAULTS
    assert "205 faults" in html and "and 5 more." in html


@pytest.mark.parametrize(
    ("content", "text"),
    [
        (b"", "It is empty."),
        (csv(), "It has a header but no rows."),
        (csv(header="part,kind"), "The header lacks name"),
        (csv(ROW, header=HEADER.replace("lot", "bag")), "unknown columns"),
        ("Größe".encode("latin-1"), "is not UTF-8"),
        (b"\xff\xfeP", "It is UTF-16"),
    ],
)
def test_a_file_that_cannot_be_read_says_why_beside_its_field(clerk: Browser, content: bytes, text: str) -> None:
    refused = check(clerk, content)
    assert refused.status_code == 422
    assert text in " ".join(refused.context["form"].errors["file"])
    assert 'id="id_file_error"' in refused.content.decode()


def test_no_file_at_all_is_asked_for(clerk: Browser) -> None:
    refused = clerk.post(ADDRESS, {})
    assert refused.status_code == 422
    assert refused.context["form"].errors["file"] == ["Choose a file."]


def test_a_file_too_large_for_the_page_goes_to_the_command(clerk: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(opening, "MOST_BYTES", len(csv(ROW)))
    assert check(clerk, csv(ROW)).status_code == 303
    refused = check(clerk, csv(ROW) + b"\n")
    assert refused.status_code == 422
    assert "Load it with the command load_shelf." in " ".join(refused.context["form"].errors["file"])


def test_the_page_takes_twenty_megabytes() -> None:
    assert opening.MOST_BYTES == 20_000_000


def test_the_example_is_good_as_it_stands(clerk: Browser) -> None:
    assert EXAMPLE.replace("\r\n", "\n") in clerk.get(ADDRESS).content.decode()
    template = clerk.get(ADDRESS, {"template": "1"})
    assert template["Content-Disposition"] == 'attachment; filename="opening-shelf.csv"'
    found = check_opening(template.content)
    assert (found.faults, found.pieces, found.parts, found.drawers) == ([], 48, 2, 2)


def test_every_column_that_the_file_may_have_is_explained(clerk: Browser) -> None:
    from inventory.receiving.opening.rows import KNOWN, REQUIRED

    html = clerk.get(ADDRESS).content.decode()
    assert {name for name in KNOWN if f"<code>{name}</code>" not in html} == set()
    assert [column for column, needed, _ in opening.COLUMNS if needed] == list(REQUIRED)


# --- between the two steps


def test_another_file_can_be_taken_instead(clerk: Browser, folder: Path) -> None:
    checked(clerk, csv(ROW))
    sent = clerk.post(ADDRESS, {"other": "1", "once": "k-1"})
    assert (sent.status_code, sent["Location"]) == (303, ADDRESS)
    assert 'type="file"' in clerk.get(ADDRESS).content.decode() and waiting(folder) == []
    checked(clerk, csv(ROW))
    checked(clerk, csv(ROW.replace("L-1", "L-2")))
    assert len(waiting(folder)) == 1


def test_looking_at_the_page_drops_no_file(clerk: Browser, folder: Path) -> None:
    checked(clerk, csv(ROW))
    assert "shelf.csv is good" in clerk.get(ADDRESS, {"other": "1"}).content.decode()
    assert len(waiting(folder)) == 1


def test_a_file_with_too_many_rows_or_readings_goes_to_the_command(
    clerk: Browser, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(opening, "MOST_ROWS", 2)
    two = [ROW, ROW.replace("L-1", "L-2")]
    assert check(clerk, csv(*two)).status_code == 303
    refused = check(clerk, csv(*two, ROW.replace("L-1", "L-3")))
    assert refused.status_code == 422
    said = " ".join(refused.context["form"].errors["file"])
    assert said.startswith("It has 3 rows, and this page takes 2. Load it with the command load_shelf FILE")
    header = f"{HEADER},readings_mm"
    assert check(clerk, csv(f"{ROW},{'0.15 ' * 6}", header=header)).status_code == 303
    refused = check(clerk, csv(f"{ROW},{'0.15 ' * 7}", header=header))
    assert "It has 7 readings, and this page takes 6." in " ".join(refused.context["form"].errors["file"])


def test_the_page_takes_fifty_thousand_rows(clerk: Browser) -> None:
    assert opening.MOST_ROWS == 50_000
    assert "Up to 50000 rows and 20 MB here" in clerk.get(ADDRESS).content.decode()


@pytest.mark.parametrize("what", ["retired part", "retired drawer", "resized part"])
def test_a_shelf_that_changes_between_the_check_and_the_writing_is_not_written_onto(
    clerk: Browser, folder: Path, monkeypatch: pytest.MonkeyPatch, what: str
) -> None:
    part = factories.shim(number="S-1")
    drawer = factories.drawer("B-03")
    html = checked(clerk, csv(ROW))

    def changed_before(*words: Any) -> Any:
        if what == "retired part":
            Part.objects.filter(pk=part.pk).update(retired_at=clock.now())
        elif what == "retired drawer":
            Drawer.objects.filter(pk=drawer.pk).update(retired_at=clock.now())
        else:
            Shim.objects.filter(pk=part.pk).update(od_um=36_000)
        return loading.write(*words)

    monkeypatch.setattr(opening, "write", changed_before)
    refused = put(clerk, html)
    assert refused.status_code == 422
    said = {"resized part": "is in the catalogue with other sizes"}.get(what, "is retired")
    assert said in refused.content.decode() and "What to correct in shelf.csv" in refused.content.decode()
    assert not Lot.objects.exists()


def test_a_file_that_waits_is_read_by_nobody_else(clerk: Browser, folder: Path) -> None:
    html = checked(clerk, csv(ROW))
    (path,) = folder.iterdir()
    assert path.stat().st_mode & 0o077 == 0
    stranger = signed_in(Browser(), people.lead())
    assert 'type="file"' in stranger.get(ADDRESS).content.decode()
    assert put(stranger, html).status_code == 422
    assert not Lot.objects.exists() and len(waiting(folder)) == 1


@pytest.mark.parametrize("digest", ["x" * 64, "", "0" * 64])
def test_a_digest_that_was_never_given_leads_nowhere(clerk: Browser, folder: Path, digest: str) -> None:
    checked(clerk, csv(ROW))
    assert clerk.post(ADDRESS, {"file": digest, "once": "k-1"}).status_code == 422
    assert not Lot.objects.exists() and len(waiting(folder)) == 1


def test_a_digest_leads_to_no_file_outside_the_folder(clerk: Browser, folder: Path) -> None:
    html = checked(clerk, csv(ROW))
    (path,) = folder.iterdir()
    # The same name one folder up: where a digest with a way in it would lead.
    whose = path.name.partition("-")[2]
    planted = folder.parent / f"x-{whose}"
    planted.write_bytes(csv(ROW.replace("L-1", "L-9")))
    request = clerk.get(ADDRESS).wsgi_request
    assert (folder / f"../x-{whose}").read_bytes()
    assert opening_files.kept(request, "../x") is None
    opening_files.forget(request, "../x")
    assert planted.exists()
    assert clerk.post(ADDRESS, {"file": "../x", "once": "k-1"}).status_code == 422
    assert not Lot.objects.exists()
    # The file that was given is found by the same request.
    digest = re.search(r'name="file" value="([0-9a-f]{64})"', html)
    assert digest is not None
    assert opening_files.kept(request, digest[1]) == csv(ROW)


def test_what_waits_for_more_than_a_day_is_gone(clock: HeldClock, clerk: Browser, folder: Path) -> None:
    clerk.get(ADDRESS)
    html = checked(clerk, csv(ROW))
    (path,) = folder.iterdir()
    old = (clock.time - timedelta(days=1, seconds=1)).timestamp()
    os.utime(path, (old, old))
    assert put(clerk, html).status_code == 422
    assert 'type="file"' in clerk.get(ADDRESS).content.decode()
    # What other sessions left behind goes when somebody keeps a file.
    left = folder / "left.csv"
    left.write_bytes(b"x")
    os.utime(left, (old, old))
    checked(clerk, csv(ROW))
    assert not left.exists() and len(waiting(folder)) == 1


def test_what_became_wrong_since_the_check_is_shown_and_nothing_is_written(clerk: Browser, folder: Path) -> None:
    html = checked(clerk, csv(ROW))
    factories.stocked(factories.shim(number="S-9"), 1, lot="L-1")
    before = Movement.objects.count()
    refused = put(clerk, html)
    assert refused.status_code == 422
    assert "What to correct in shelf.csv" in refused.content.decode()
    assert "is on the shelf already" in refused.content.decode()
    assert Movement.objects.count() == before and waiting(folder) == []


def test_a_busy_shelf_keeps_the_file_to_be_sent_again(
    clerk: Browser, folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    html = checked(clerk, csv(ROW))

    def busy(*words: Any) -> None:
        raise DomainError("too_busy", seconds=10)

    monkeypatch.setattr(opening, "write", busy)
    refused = put(clerk, html)
    again = refused.content.decode()
    assert refused.status_code == 422
    assert "The shelf was busy for 10 s; nothing was changed." in again and "shelf.csv is good" in again
    assert len(waiting(folder)) == 1 and not Lot.objects.exists()


@pytest.mark.parametrize(("actor", "status"), [(people.clerk, 200), (people.lead, 200), (people.tuner, 403)])
def test_clerk_and_lead_open_the_shelf(client: Browser, actor: Any, status: int) -> None:
    browser = signed_in(client, actor())
    assert browser.get(ADDRESS).status_code == status
    assert check(browser, csv(ROW)).status_code == {200: 303, 403: 403}[status]
