"""The opening shelf: a whole workshop from one file, all rows or none, and every fault with its line and column."""

from __future__ import annotations

import csv
import io
import os
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from inventory.catalogue.kinds.nuts import Nut
from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.models import Part
from inventory.common import clock as the_clock
from inventory.common.errors import DomainError
from inventory.receiving.opening import loading
from inventory.receiving.opening.loading import Loaded, load_shelf
from inventory.stock import replay
from inventory.stock.models import Balance, Drawer, Lot, Movement, Reading
from tests import factories, people
from tests.conftest import HeldClock
from tests.environment import ENGINE

pytestmark = pytest.mark.django_db

COLUMNS = [
    "part",
    "kind",
    "name",
    "lot",
    "drawer",
    "quantity",
    "unit",
    "condition",
    "received_on",
    "source",
    "cure_date",
    "readings_mm",
]
SIZES = ["od_mm", "thickness_mm", "bore_mm", "form", "thread", "height_mm"]
SHIM = {"kind": "shim", "name": "Shim", "quantity": "40", "od_mm": "34", "thickness_mm": "0.15", "bore_mm": "12"}
NUT = {"kind": "nut", "name": "Nut", "quantity": "7", "thread": "M12x1.25", "height_mm": "10"}


def row(number: int = 1, like: dict[str, str] = SHIM, **cells: str) -> dict[str, str]:
    return {"part": f"P-{number}", "lot": f"L-{number}", "drawer": f"A-{number:02}", **like, **cells}


def file(*rows: dict[str, str], separator: str = ",", ending: str = "\r\n") -> bytes:
    text = io.StringIO()
    writer = csv.DictWriter(text, COLUMNS + SIZES, restval="", delimiter=separator, lineterminator=ending)
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue().encode()


def load(content: bytes, **words: Any) -> Loaded:
    return load_shelf(content=content, actor=people.clerk(), progress=lambda *_: None, **words)


def written() -> tuple[int, ...]:
    return tuple(table.objects.count() for table in (Part, Lot, Drawer, Balance, Movement, Reading))


def faults(*rows: dict[str, str], separator: str = ",") -> list[tuple[int, str, str]]:
    """What is said of a file; nothing of it may be written."""
    before = written()
    loaded = load(file(*rows, separator=separator))
    assert written() == before
    assert (loaded.lots, loaded.pieces, loaded.parts, loaded.drawers) == (0, 0, 0, 0)
    return [(fault.line, fault.column, fault.cure) for fault in loaded.faults]


def places(*rows: dict[str, str], separator: str = ",") -> list[tuple[int, str]]:
    return [(line, column) for line, column, _ in faults(*rows, separator=separator)]


def unreadable(content: bytes) -> str:
    before = written()
    with pytest.raises(DomainError) as raised:
        load(content)
    assert raised.value.code == "bad_file"
    assert written() == before
    return str(raised.value.data["reason"])


# --- good files


def test_a_good_file_is_on_the_shelf_and_the_ledger_explains_it(clock: HeldClock) -> None:
    shim = row(1, readings_mm="0.149 0.151", received_on="2029-12-31", source="opening count", condition="take_off")
    loaded = load(file(shim, row(2, NUT), row(3, part="P-1", drawer="A-02")))
    assert (loaded.faults, loaded.lots, loaded.pieces, loaded.parts, loaded.drawers) == ([], 3, 87, 2, 2)
    assert replay.faults() == []
    lot = Lot.objects.get(number="L-1")
    assert (lot.condition, lot.source, lot.received_on) == ("take_off", "opening count", date(2029, 12, 31))
    assert Lot.objects.get(number="L-2").received_on == date(2030, 3, 4)
    assert list(Reading.objects.values_list("lot__number", "thickness_um").order_by("pk")) == [
        ("L-1", 149),
        ("L-1", 151),
    ]
    sizes = Shim.objects.get(part__number="P-1")
    assert (sizes.od_um, sizes.thickness_um, sizes.bore_um, sizes.form) == (34_000, 150, 12_000, "round")
    assert Nut.objects.get(part__number="P-2").thread == "M12x1.25"
    assert list(
        Balance.objects.values_list("lot__number", "drawer__code", "on_hand", "held", "version").order_by("pk")
    ) == [
        ("L-1", "A-01", 40, 0, 1),
        ("L-2", "A-02", 7, 0, 1),
        ("L-3", "A-02", 40, 0, 1),
    ]
    movement = Movement.objects.order_by("pk")[0]
    assert (movement.on_hand_delta, movement.person, movement.at) == (40, people.clerk().person, clock.time)
    assert len(set(Movement.objects.values_list("posting", flat=True))) == 1


def test_a_second_file_adds_to_the_first() -> None:
    load(file(row(1)))
    loaded = load(file(row(2, part="P-1", drawer="A-01"), row(3)))
    assert (loaded.faults, loaded.parts, loaded.drawers) == ([], 1, 1)
    # What comes later through the ledger's own door finds free ids.
    factories.stocked(Part.objects.get(number="P-1"), 5)
    assert replay.faults() == []


def test_semicolons_may_write_decimal_commas() -> None:
    shim = row(1, thickness_mm="0,15", od_mm="34,5", readings_mm="0,149 0,151")
    assert load(file(shim, row(2, NUT), separator=";")).faults == []
    sizes = Shim.objects.get()
    assert (sizes.thickness_um, sizes.od_um) == (150, 34_500)
    assert list(Reading.objects.values_list("thickness_um", flat=True).order_by("pk")) == [149, 151]


def test_a_comma_file_may_not() -> None:
    assert places(row(1, thickness_mm="0,15")) == [(2, "thickness_mm")]


@pytest.mark.parametrize("ending", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_a_byte_order_mark_and_both_line_ends_are_read(mark: bytes, ending: str) -> None:
    assert load(mark + file(row(1, name="Shim ø34"), ending=ending)).lots == 1
    assert Part.objects.get().name == "Shim ø34"


def test_the_same_size_written_two_ways_is_the_same_part() -> None:
    assert load(file(row(1), row(2, part="P-1", thickness_mm="0.150", od_mm="34.0"))).parts == 1


def test_empty_lines_are_passed_over() -> None:
    content = file(row(1)) + b"\r\n" + b"," * (len(COLUMNS + SIZES) - 1) + b"\r\n"
    assert load(content).lots == 1


def test_checking_writes_nothing() -> None:
    before = written()
    assert load(file(row(1)), only_check=True) == Loaded([])
    assert written() == before


# --- files that cannot be read at all


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_refused_with_the_cure(encoding: str) -> None:
    reason = unreadable(file(row(1)).decode().encode(encoding))
    assert "UTF-16" in reason or "zero bytes" in reason


def test_a_single_line_in_another_encoding_is_named() -> None:
    lines = file(row(1, name="Scheibe ü"), row(2), row(3, name="Scheibe ö")).split(b"\r\n")
    lines[3] = lines[3].decode().encode("latin-1")
    assert unreadable(b"\r\n".join(lines)).startswith("Line 4 is not UTF-8")


def test_a_file_without_rows_is_refused() -> None:
    assert "no rows" in unreadable(file())
    assert "empty" in unreadable(b"")


def test_a_quote_that_does_not_close_is_refused() -> None:
    assert "not CSV" in unreadable(file(row(1)) + b'"P-2')


@pytest.mark.parametrize(
    ("header", "said"),
    [
        ("part,kind,name,lot,quantity", "lacks drawer"),
        ("part,kind,name,lot,drawer,quantity,colour", "unknown columns: 'colour'"),
        ("part,kind,name,lot,drawer,quantity,lot", "columns twice: lot"),
        ("Part,kind,name,lot,drawer,quantity", "lacks part"),
        ("part\tkind\tname\tlot\tdrawer\tquantity", "lacks part, kind"),
        ("P-1,shim,Shim,L-1,A-01,40", "lacks part"),
    ],
)
def test_a_wrong_header_is_named(header: str, said: str) -> None:
    reason = unreadable(f"{header}\nP-1,shim,Shim,L-1,A-01,40,x\n".encode())
    assert said in reason
    assert "Known columns:" in reason


# --- rows with faults


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        *[("quantity", cell) for cell in ("", "0", "-1", "1.5", "4e1", "1000001", "99999999999", "forty", "٤", "+4")],
        *[
            ("thickness_mm", cell)
            for cell in ("", "0", "-0.15", "0.1505", "15", "1e9", "1e999999", "nan", "0.15mm", "150um")
        ],
        *[("od_mm", cell) for cell in ("", "-34", "34000", "34 mm", "1e-9")],
        *[("bore_mm", cell) for cell in ("0", "34", "35")],
        *[("readings_mm", cell) for cell in ("0.15;0.16", "0.15 x", "-0.15", "0", "150", "0.1505", "0.20 0.20")],
        *[("part", cell) for cell in ("", "=1+1", "+P", "-P", "@P", "P" * 41, "P\u0007")],
        *[("name", cell) for cell in ("", "=cmd()", "N" * 121, "two\nlines")],
        *[("lot", cell) for cell in ("", "=A1", "L" * 41)],
        *[("drawer", cell) for cell in ("", "@A", "D" * 21)],
        *[("source", cell) for cell in ("=A1", "-", "s" * 121)],
        *[("kind", cell) for cell in ("", "bolt", "SHIM", "=shim")],
        *[("unit", cell) for cell in ("kg", "pieces", "ml", "g", "=1")],
        *[("condition", cell) for cell in ("used", "NEW", "=1")],
        *[("form", cell) for cell in ("square", "=1")],
        *[("received_on", cell) for cell in ("31.12.2029", "2030-02-30", "2030-03-05", "1949-12-31", "=1")],
        *[("cure_date", cell) for cell in ("2026-Q5", "2026", "Q3-2026", "=1")],
        *[("thread", cell) for cell in ("M12x1.25", "=1")],
    ],
)
@pytest.mark.usefixtures("clock")
def test_a_wrong_cell_is_named_by_line_and_column_and_nothing_is_written(column: str, cell: str) -> None:
    assert places(row(1), {**row(2), column: cell}, row(3)) == [(3, column)]


@pytest.mark.parametrize("cell", ["M12", "12x1.25", "M12 fine", "=M12x1.25"])
def test_a_thread_without_its_pitch_is_refused(cell: str) -> None:
    assert places(row(1, NUT, thread=cell)) == [(2, "thread")]


def test_a_very_long_cell_is_refused_and_not_kept() -> None:
    found = faults(row(1, source="s" * 5000))
    assert {(line, column) for line, column, _ in found} == {(2, "source")}
    assert max(len(cure) for _, _, cure in found) < 200


def test_a_row_with_a_cell_too_many_is_named() -> None:
    lines = file(row(1), row(2)).split(b"\r\n")
    lines[2] += b",more"
    loaded = load(b"\r\n".join(lines))
    assert [(fault.line, fault.column) for fault in loaded.faults] == [(3, "")]
    assert not Lot.objects.exists()


def test_the_line_of_a_row_after_a_cell_of_two_lines_is_right() -> None:
    assert places(row(1, name="two\nlines"), row(2, quantity="0")) == [(2, "name"), (4, "quantity")]


def test_a_lot_on_two_lines_is_named() -> None:
    (found,) = faults(row(1), row(2), row(3, lot="L-1"))
    assert found[:2] == (4, "lot")
    assert "line 2" in found[2]


def test_a_lot_on_two_lines_is_named_although_the_first_has_another_fault() -> None:
    assert places(row(1, quantity="0"), row(2, lot="L-1")) == [(2, "quantity"), (3, "lot")]


@pytest.mark.parametrize("other", [{"thickness_mm": "0.20"}, {"name": "Another"}, {"form": "notched"}], ids=str)
def test_a_part_described_two_ways_is_named(other: dict[str, str]) -> None:
    (found,) = faults(row(1), {**row(2, part="P-1"), **other})
    assert found[:2] == (3, "part")
    assert "line 2" in found[2]


def test_every_fault_of_every_line_is_told_at_once() -> None:
    found = places(row(1, quantity="0", lot=""), row(2), row(3, kind="bolt", drawer=""), row(4, od_mm="x", source="="))
    assert sorted(found) == [(2, "lot"), (2, "quantity"), (4, "drawer"), (4, "kind"), (5, "od_mm"), (5, "source")]
    assert [line for line, _ in found] == sorted(line for line, _ in found)


# --- what contradicts the shelf


def test_a_lot_on_the_shelf_already_is_named() -> None:
    factories.stocked(factories.shim(), 5, lot="L-2")
    assert places(row(1), row(2)) == [(3, "lot")]


def test_a_retired_drawer_is_named() -> None:
    Drawer.objects.filter(pk=factories.drawer("A-02").pk).update(retired_at=the_clock.now())
    assert places(row(1), row(2)) == [(3, "drawer")]


def test_a_part_that_the_catalogue_has_with_other_sizes_is_named() -> None:
    factories.shim(34, 0.20, 12, number="P-2")
    factories.nut(number="P-3")
    assert places(row(1), row(2), row(3)) == [(3, "part"), (4, "part")]


def test_a_part_that_the_catalogue_has_alike_is_used() -> None:
    factories.shim(34, 0.15, 12, number="P-1")
    assert load(file(row(1))).parts == 0


def test_a_retired_part_is_named() -> None:
    part = factories.shim(34, 0.15, 12, number="P-2")
    part.retired_at = the_clock.now()
    part.save()
    assert places(row(1), row(2)) == [(3, "part")]


def test_a_lot_taken_in_between_checking_and_writing_leaves_everything_unwritten(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    part = factories.shim()
    check = loading.against_shelf

    def meanwhile(rows: Any) -> Any:
        found = check(rows)
        factories.stocked(part, 5, lot="L-2")
        return found

    monkeypatch.setattr(loading, "against_shelf", meanwhile)
    with pytest.raises(DomainError) as raised:
        load(file(row(1), row(2)))
    assert raised.value.code == "conflict"
    assert list(Lot.objects.values_list("number", flat=True)) == ["L-2"]


# --- the command


def test_the_command_tells_what_it_loaded(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "shelf.csv"
    path.write_bytes(file(row(1), row(2, NUT)))
    person = people.clerk().person
    assert person is not None
    call_command("load_shelf", str(path), person=person.username, check=True)
    assert "good" in capsys.readouterr().out
    assert not Lot.objects.exists()
    call_command("load_shelf", str(path), person=person.username)
    assert "2 lots with 47 pieces" in capsys.readouterr().out
    assert replay.faults() == []


def test_the_command_shows_faults_and_writes_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "shelf.csv"
    path.write_bytes(file(row(1, quantity="-3")))
    person = people.clerk().person
    assert person is not None
    with pytest.raises(CommandError, match="1 faults; nothing was written"):
        call_command("load_shelf", str(path), person=person.username)
    assert "quantity" in capsys.readouterr().out
    with pytest.raises(CommandError, match="There is no person"):
        call_command("load_shelf", str(path), person="nobody")
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("load_shelf", str(tmp_path / "none.csv"), person=person.username)


@pytest.mark.skipif(os.environ[ENGINE] != "postgresql", reason="a plan that PostgreSQL keeps")
@pytest.mark.django_db
def test_no_row_of_a_file_reads_the_ledger_from_its_beginning() -> None:
    """What the guards look up they look up by index, whatever was known of the tables when it was planned."""
    with connection.cursor() as cursor:
        # The worst that can be known: that there is nothing, so that reading all of it looks like the least work.
        cursor.execute("ANALYZE inventory_movement, inventory_balance")
    lines = [f"S-1,shim,S,34,0.15,12,L-{number},A-01,5" for number in range(400)]
    content = "\n".join(["part,kind,name,od_mm,thickness_mm,bore_mm,lot,drawer,quantity", *lines]).encode()
    loaded = load_shelf(content=content, actor=people.clerk(), progress=lambda step, done, total: None)
    assert loaded.lots == len(lines)
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT sum(seq_tup_read) FROM pg_stat_xact_user_tables"
            " WHERE relname IN ('inventory_movement', 'inventory_balance')"
        )
        (read,) = cursor.fetchone()
    # Reading all for each row would be some 80,000.
    assert read <= 4 * len(lines)
