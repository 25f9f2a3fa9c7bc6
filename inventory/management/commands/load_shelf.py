"""Loads an opening shelf from a CSV file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from inventory.common.errors import DomainError
from inventory.people.actors import acting_person
from inventory.people.commands import person_called
from inventory.receiving.opening.loading import load_shelf
from inventory.receiving.opening.reading import Fault

MOST_SHOWN = 50


class Command(BaseCommand):
    help = "Loads a workshop's opening shelf from a CSV file: all rows, or none and a list of what to correct."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("file", type=Path)
        parser.add_argument("--person", required=True, help="in whose name the ledger records it")
        parser.add_argument("--check", action="store_true", help="only check; write nothing")

    def handle(self, *args: Any, **options: Any) -> None:
        person = person_called(options["person"])
        if person is None:
            raise CommandError(f"There is no person {options['person']!r}; make one with the command person.")
        try:
            content = options["file"].read_bytes()
        except OSError as error:
            raise CommandError(f"The file cannot be read: {error.strerror}.") from None
        columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(), TimeElapsedColumn())
        with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
            task = bar.add_task("reading")

            def progress(step: str, done: int, total: int) -> None:
                bar.update(task, description=step, completed=done, total=total)

            try:
                loaded = load_shelf(
                    content=content, actor=acting_person(person), progress=progress, only_check=options["check"]
                )
            except DomainError as error:
                raise CommandError(error.text) from None
        if loaded.faults:
            show(loaded.faults)
            raise CommandError(f"{len(loaded.faults)} faults; nothing was written. Correct the file and load it again.")
        if options["check"]:
            self.stdout.write("The file is good; nothing was written.")
            return
        self.stdout.write(
            f"{loaded.lots} lots with {loaded.pieces} pieces are on the shelf"
            f" ({loaded.parts} new parts, {loaded.drawers} new drawers)."
        )


def show(faults: list[Fault]) -> None:
    """The first faults as a table: line, column, cure."""
    table = Table("line", "column", "what to correct")
    for fault in faults[:MOST_SHOWN]:
        table.add_row(str(fault.line), fault.column, fault.cure)
    console = Console()
    console.print(table)
    if len(faults) > MOST_SHOWN:
        console.print(f"... and {len(faults) - MOST_SHOWN} more.")
