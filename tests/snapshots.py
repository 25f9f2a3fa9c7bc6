"""Small populated databases of earlier states of the project, for both engines; the suite migrates and replays them.

    python -m tests.snapshots make NAME      writes fixtures/databases/NAME.{sqlite3,postgresql.sql}.gz

Made once when the tables change, then kept as they are: they stand for the databases that shops have.
"""

from __future__ import annotations

import gzip
import os
import secrets
import sqlite3
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from functools import partial
from pathlib import Path

from tests import postgres

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "fixtures" / "databases"


def environment(url: str) -> dict[str, str]:
    """The environment of a process that works on the database at `url`."""
    own = {name: value for name, value in os.environ.items() if not name.startswith("SHIMSHELF_")}
    return {**own, "DATABASE_URL": url, "SHIMSHELF_SECRET_KEY": secrets.token_urlsafe(32)}


def manage(url: str, *words: str) -> str:
    """Runs manage.py on that database; raises with its output when it fails."""
    return _run([sys.executable, "manage.py", *words], environment(url))


def migrated_and_checked(url: str) -> str:
    """What check_ledger says of the database at `url` once it is migrated; both in one process, which starts once."""
    return _run([sys.executable, "-m", "tests.snapshots", "check"], environment(url))


def restore_sqlite(snapshot: Path, folder: Path) -> str:
    """The snapshot as a file in the folder; gives its DATABASE_URL."""
    file = folder / "shelf.sqlite3"
    file.write_bytes(gzip.decompress(snapshot.read_bytes()))
    file.chmod(0o600)
    return f"sqlite:///{file}"


def restore_postgresql(snapshot: Path, url: str) -> None:
    """Runs the snapshot's statements in an empty database."""
    command = [str(postgres.installed() / "bin" / "psql"), "--quiet", "--set", "ON_ERROR_STOP=1", "--dbname", url]
    script = gzip.decompress(snapshot.read_bytes()).decode()
    done = subprocess.run(command, input=script, capture_output=True, text=True)
    if done.returncode:
        raise RuntimeError(done.stderr)


def make(name: str) -> None:
    """Populates a database on each engine and writes both snapshots."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "shelf.sqlite3"
        _populate(f"sqlite:///{file}")
        with sqlite3.connect(file) as connection:
            connection.execute("PRAGMA journal_mode=DELETE")
        _write(FOLDER / f"{name}.sqlite3.gz", file.read_bytes())
    with postgres.running() as url:
        _populate(url)
        command = [str(postgres.installed() / "bin" / "pg_dump"), "--no-owner", "--no-privileges", "--dbname", url]
        dump = _run(command, dict(os.environ))
        # Settings of the dumping server that another version may not know.
        kept = [line for line in dump.splitlines() if not line.startswith(("\\restrict", "\\unrestrict"))]
        _write(FOLDER / f"{name}.postgresql.sql.gz", "\n".join(kept).encode())


def _write(file: Path, content: bytes) -> None:
    # No time stamp inside, so that the same content is the same file.
    file.write_bytes(gzip.compress(content, mtime=0))
    print(f"{file.relative_to(ROOT)}: {file.stat().st_size} bytes")


def _populate(url: str) -> None:
    manage(url, "migrate", "--verbosity", "0")
    _run([sys.executable, "-m", "tests.snapshots", "populate"], environment(url))
    manage(url, "check_ledger")


def _run(command: list[str], its_environment: Mapping[str, str]) -> str:
    done = subprocess.run(command, cwd=ROOT, env=dict(its_environment), capture_output=True, text=True)
    if done.returncode:
        raise RuntimeError(f"{' '.join(command)}: {done.stdout}{done.stderr}")
    return done.stdout


def populate() -> None:
    """A bit of everything: parts of each kind, lots with readings, every state of a hold, a count, a job, a damper."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.project.settings")
    import django

    django.setup()

    from inventory.common.transactions import use_case
    from inventory.dampers.document import DamperDocument
    from inventory.dampers.services import create_damper, save_stack
    from inventory.documents.typed import read
    from inventory.holds.models import Purpose
    from inventory.holds.requests import Wanted
    from inventory.holds.services import confirm_hold, make_hold, release_hold
    from inventory.jobs.services import hold_for, hold_plan, open_job, record_plan
    from inventory.receiving.services import count_balance
    from inventory.stock.models import Condition
    from tests import factories, people

    tuner, web = people.tuner(), people.storefront()
    people.key_of(web)
    parts = [factories.shim(od, 0.15) for od in (30, 34, 38)]
    for index, part in enumerate([*parts, factories.nut(), factories.washer(), factories.piston()]):
        readings = (149, 151, 150) if index < 3 else ()
        factories.stocked(part, 20, lot=f"L{index}", drawer=f"A-{index}", readings_um=readings)
    factories.stocked(parts[0], 5, lot="L-used", drawer="B-1", condition=Condition.TAKE_OFF)
    numbers = [part.number for part in parts]
    use_case(lambda: open_job(number="J-1", title="Fork, first service"))

    def web_hold(number: str, quantity: int) -> int:
        line = Wanted(part=number, quantity=quantity)
        return use_case(lambda: make_hold(lines=[line], purpose=Purpose.WEB, actor=web)).hold.pk

    web_hold(numbers[0], 3)
    confirmed, released = web_hold(numbers[1], 4), web_hold(numbers[1], 5)
    use_case(lambda: confirm_hold(hold=confirmed, actor=web))
    use_case(lambda: release_hold(hold=released, actor=web))
    wanted = [Wanted(part=numbers[2], quantity=18)]
    use_case(lambda: hold_for(lines=wanted, job="J-1", minutes=None, actor=tuner))
    use_case(lambda: count_balance(lot="L2", drawer="A-2", counted=15, actor=people.clerk()))
    told = {"valves": [{"code": "main", "shaft_mm": {"min": 12.0, "max": 12.0, "nominal": 12.0}}]}
    document = read(DamperDocument, told)
    damper = use_case(lambda: create_damper(code="OLD-1", name="Old one", document=document, actor=tuner))
    line = {"od_mm": 34.0, "thickness_mm": 0.15, "bore_mm": 12.0, "quantity": 3, "form": "round"}
    stacks = {"compression": [line], "rebound": [line]}
    use_case(lambda: save_stack(damper=damper, valve="main", name="First", stacks=stacks, note="", actor=tuner))
    used = factories.stocked(parts[1], 6, lot="L-plan", drawer="B-2")
    plan = use_case(
        lambda: record_plan(
            request={"damper": "OLD-1"},
            answer={"verdict": "fits"},
            claims=[(used.pk, 2)],
            verdict="fits",
            complete=True,
            engine_version="1",
            job=None,
            actor=tuner,
        )
    )
    use_case(lambda: hold_plan(plan=plan, job="J-1", minutes=None, actor=tuner))
    _pages()
    _calibrations()
    _seals()
    _withdrawals()
    _living()


def check() -> None:
    """Migrates the database and looks at its ledger, as the two commands do."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.project.settings")
    import django

    django.setup()

    from django.core.management import call_command

    call_command("migrate", verbosity=0)
    call_command("check_ledger")


def _living() -> None:
    """A nut of which 0 is told, and a hold whose time was over before it was swept."""
    from django.db.models import F

    from inventory.holds.expiry import sweep
    from inventory.holds.models import Hold
    from inventory.holds.requests import Wanted
    from tests import factories, people

    nut = factories.nut(number="NU-flat", chamfer_mm=0, unthreaded_mm=0)
    factories.stocked(nut, 7, lot="N-flat", drawer="N-1")
    over = factories.held(Wanted(part=nut.number, quantity=2)).hold.pk
    Hold.objects.filter(pk=over).update(expires_at=F("created_at"))
    sweep(actor=people.clerk())
    factories.held(Wanted(part=nut.number, quantity=3))


def _withdrawals() -> None:
    """A reading that was another bag's."""
    from inventory.common.transactions import use_case
    from inventory.stock.models import Reading
    from inventory.stock.withdrawing import withdraw_readings
    from tests import people

    reading = Reading.objects.filter(lot__number="L1").order_by("pk")[0].pk
    use_case(lambda: withdraw_readings(lot="L1", readings=[reading], reason="another bag's", actor=people.clerk()))


def _seals() -> None:
    """What seals, guides and fills a damper: rings of two ages, a fluid in ml and one in g, and a hold of oil."""
    from inventory.holds.requests import Wanted
    from tests import factories

    for age in ("2015-Q2", "2026-Q3"):
        ring = factories.oring(size="222", compound="NBR", hardness="70", section_tolerance_mm=0.1)
        factories.stocked(ring, 25, lot=f"O-{age}", drawer="R-1", cure_date=age)
    others = (factories.band(material="PTFE_bronze"), factories.seal_head(), factories.bush(inner_class="F7"))
    for part in (*others, factories.fluid("grease", unit="g")):
        factories.stocked(part, 400, lot=f"S-{part.number}", drawer="S-1")
    oil = factories.fluid(base="mineral_oil", grade="ISO VG 15")
    factories.stocked(oil, 1000, lot="S-oil", drawer="T-1")
    factories.held(Wanted(part=oil.number, quantity=200))


def _calibrations() -> None:
    """One that counts and one that was withdrawn."""
    from inventory.common.transactions import use_case
    from inventory.dampers.document_calibration import CurveFit, MeasuredCurve
    from inventory.dampers.selectors import damper_row
    from inventory.dampers.services import keep_calibration, withdraw_calibration
    from inventory.documents.typed import read
    from tests import people

    tuner = people.tuner()
    mount = {"hub_radius_mm": 10.0, "base_radius_mm": 14.0, "inner_radius_mm": 11.0, "outer_radius_mm": 16.1}
    line = {"od_mm": 34.0, "thickness_mm": 0.15, "quantity": 3, "form": "round"}
    points = [{"lift_mm": lift, "force_n": 200 * lift} for lift in (0.03, 0.06, 0.09)]
    steel = {"youngs_gpa": 201.5, "edge_slip": 0.3}
    open_ = {"rms_percent": 0.4, "worst_percent": 0.9, "open_percent": 4.0}
    fit = {**steel, **open_, "as_good": [steel, {"youngs_gpa": 212.0, "edge_slip": 0.6}], "engine": "2"}
    thickness = {"min": 0.148, "max": 0.152, "nominal": 0.15}
    shims = [{"od_mm": 34.0, "thickness_mm": thickness, "quantity": 3}]
    measured = {"stack": [line], "shims": shims, "points": points, "mount": {**mount, "preload": None}}
    kept = [
        use_case(
            lambda: keep_calibration(
                damper=damper_row("OLD-1"),
                valve="main",
                side="rebound",
                measured=read(MeasuredCurve, measured),
                fit=read(CurveFit, fit),
                note="lab",
                actor=tuner,
            )
        ).pk
        for _ in range(2)
    ]
    use_case(lambda: withdraw_calibration(code="OLD-1", number=kept[0], actor=tuner))


def _pages() -> None:
    """What the pages write: a corrected part, a delivery with an undone line, a PIN, a shared computer, a sent form."""
    from inventory.common import clock
    from inventory.common.transactions import use_case
    from inventory.idempotency.services import Command, run_once
    from inventory.people import brakes, pins
    from inventory.people.models import Workplace
    from inventory.receiving.services import add_delivery_line, start_delivery
    from inventory.receiving.undoing import undo_line
    from inventory.stock.amending import PartEdit, edit_part, part_reads, seen
    from inventory.stock.services import NewLot, drawer_called
    from tests import factories, people

    clerk = people.clerk()
    assert clerk.person is not None
    part = factories.washer(number="WA-corrected")
    edit = PartEdit(name="Washer, corrected", retired=False, sizes=None)
    read = seen(part_reads(part, part.washer))
    use_case(lambda: edit_part(number=part.number, edit=edit, read=read, reason="misread", actor=clerk))
    delivery = use_case(lambda: start_delivery(number="D-1", supplier="Oxbeck", note="", received_on=None, actor=clerk))

    def add(lot: str) -> int:
        new = NewLot(part, drawer_called("C-1"), 5, delivery.received_on, lot)
        return add_delivery_line(delivery=delivery, new=new, actor=clerk).pk

    lines = [use_case(partial(add, lot)) for lot in ("D-1-1", "D-1-2")]
    use_case(lambda: undo_line(delivery=delivery.pk, line=lines[1], reason="counted twice", actor=clerk))
    person = clerk.person
    use_case(lambda: pins.set_pin(person=person, pin="4711"))
    Workplace.objects.create(seen_at=clock.now())
    brakes.take_try(brakes.of_pin(person.pk), brakes.MOST_PINS)
    run_once(command=Command(clerk, "POST", "/deliveries/1", "K", "0" * 64), work=lambda: (303, "/deliveries/1"))


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["make", name]:
            make(name)
        case ["populate"]:
            populate()
        case ["check"]:
            check()
        case _:
            sys.exit(__doc__)
