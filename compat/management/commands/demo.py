"""The main job, done on an invented workshop in the terminal, then served."""

from __future__ import annotations

import io
import os
import shutil
import socket
import sys
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from rich.console import Console

from compat.demo import telling, workshop
from compat.plans import reserve
from compat.plans.answered import answered
from compat.plans.checked import PlanIn
from compat.plans.document import asked_plan
from compat.questions import asks
from inventory.common.transactions import use_case
from inventory.holds.selectors import held_faults
from inventory.people.roles import Role
from inventory.project.demo_environment import FOLDER
from inventory.stock import replay
from inventory.stock.models import Drawer, Lot

HOST = "127.0.0.1"
WIDTH = 110


class Command(BaseCommand):
    help = "Sets up the demo workshop, runs the main job on it, and serves it on this machine."
    # The demo migrates its own database first; the checks of the ledger run after that.
    requires_system_checks = []

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")
        parser.add_argument("--port", type=int, default=8000, help="where to serve (default 8000)")

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.DEMO:
            raise CommandError("Run the demo by `python3 start.py demo`.")
        port = options["port"]
        if not options["no_serve"]:
            refuse_taken(port)
        call_command("migrate", verbosity=0)
        if workshop.is_foreign():
            raise CommandError("This database holds other data; the demo only uses an empty one or its own.")
        width = min(WIDTH, shutil.get_terminal_size((WIDTH, 24)).columns)
        console = Console(width=width, highlight=False, soft_wrap=False)
        console.rule("The demo workshop")
        workshop.load(lambda step, done, total: None)
        console.print(f"{Lot.objects.count()} lots lie in {Drawer.objects.count()} drawers, each through the ledger.")
        call_command("check", "--database", "default", stdout=io.StringIO())
        main_job(console)
        keys = {role: workshop.api_key(FOLDER, role) for role in (Role.CLERK, Role.TUNER, Role.STOREFRONT)}
        if not options["no_serve"]:
            serve(console, port, keys)


def main_job(console: Console) -> None:
    """Plan, refuse the wrong nut, hold, check the ledger."""
    scenario = workshop.fixture("scenario.json")
    job, asked = scenario["job"], scenario["plan"]
    workshop.start_over(job["number"], job["title"])
    tuner = workshop.actor(Role.TUNER)

    console.rule(f"Job {job['number']}: {job['title']}")
    console.print(f"The tuner asks: build this two-sided stack for the {asked['damper']} from what is on the shelf.\n")
    plan = reserve.plan_and_record(asked=asked_plan(workshop.checked(PlanIn, asked)), sent=asked, actor=tuner)
    shown = answered(plan.answer)
    telling.statements(console, shown)
    telling.positions(console, shown)
    console.print("\n[bold]Short, and what stands in[/bold]")
    telling.stand_ins(console, shown)
    console.print("\n[bold]Lip and spacer[/bold]")
    telling.spacer(console, shown)

    console.print("\n[bold]Nut[/bold]")
    telling.nut(console, shown)

    console.rule("Which nut?")
    for key, name in (("near_miss_nut", "near_miss"), ("right_nut", "right")):
        question = {"shaft": scenario["nut_on_shaft"]["shaft"], "nut": scenario["nut_on_shaft"][key]}
        console.print(f"{scenario['nuts'][name]} on the {question['shaft']['thread']} shaft:")
        telling.verdict(console, asks.ask("nut-on-shaft", question))

    console.rule("Hold the parts for the job")
    held = use_case(lambda: reserve.hold(plan=plan, job=None, minutes=None, actor=tuner))
    pieces = sum(line.quantity for line in held.lines)
    console.print(f"{pieces} pieces in {len(held.lines)} lots are held for {job['number']}; nobody else can take them.")
    telling.pick_list(console, shown)
    console.print("\n[bold]To confirm at the bench before anything is signed[/bold]")
    telling.texts(console, [one.text for one in shown.to_confirm])
    console.print("\n[bold]Cautions[/bold]")
    telling.texts(console, shown.answer["cautions"])

    console.rule("Is the shelf true?")
    faults = [*replay.faults(), *held_faults()]
    if faults:
        raise CommandError(f"No: {faults[:3]}")
    console.print("Yes: every balance and every hold is explained by its movements.")


def refuse_taken(port: int) -> None:
    """Says so before anything is done, rather than after a minute, when the port is in use."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            raise CommandError(f"Port {port} cannot be used ({error.strerror}); choose another with --port.") from None


def serve(console: Console, port: int, keys: dict[Role, str]) -> None:
    """Prints where and with which keys, then becomes the server; only this machine can reach it."""
    console.rule("Serving")
    people = ", ".join(f"{one['username']} ({one['role']})" for one in workshop.fixture("people.json"))
    console.print(f"[bold]http://{HOST}:{port}/[/bold] the pages: sign in as {people}.")
    console.print(f"Password {workshop.PASSWORD}; on a shared computer the PIN {workshop.PIN}.\n")
    console.print(f"http://{HOST}:{port}/api/v1/schema describes the API; keys of the demo's clients:")
    for role, key in keys.items():
        console.print(f"  {role.value:<11} {key}")
    console.print(f"http://{HOST}:{port}/admin/ people and clients, for the lead.")
    console.print("Stop with Ctrl-C.")
    sys.stdout.flush()
    command = [sys.executable, "-m", "gunicorn", "inventory.project.wsgi", "--workers", "2"]
    os.execv(sys.executable, [*command, "--bind", f"{HOST}:{port}", "--log-level", "warning"])
