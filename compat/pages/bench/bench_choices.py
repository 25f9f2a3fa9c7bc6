"""What the bench offers to choose from: damper models with their saved stacks, jobs, nuts."""

from __future__ import annotations

from typing import TypedDict

from compat.pages.plan.job_choices import jobs
from compat.plans.sent import SentPart
from inventory.catalogue.models import Part
from inventory.dampers.selectors import stack_names

# Between a damper's code and the name of a stack: a code stands in addresses, so it has no slash.
STACK_OF = "/"


class DamperStacks(TypedDict):
    """A damper model with its saved stacks: the name of each, and how an address says it."""

    code: str
    name: str
    stacks: list[tuple[str, str]]


class Choices(TypedDict):
    """What the page offers: models with their stacks; number and title of jobs, number and name of nuts."""

    groups: list[DamperStacks]
    jobs: list[tuple[str, str]]
    nuts: list[tuple[str, str]]


def choices() -> Choices:
    """Context of the page; four queries."""
    groups: dict[tuple[str, str], list[str]] = {}
    for damper, name, stack in stack_names():
        groups.setdefault((damper, name), []).extend([stack] if stack else [])
    return {
        "groups": [
            {"code": damper, "name": name, "stacks": [(stack, f"{damper}{STACK_OF}{stack}") for stack in stacks]}
            for (damper, name), stacks in groups.items()
        ],
        "jobs": jobs(),
        "nuts": list(Part.objects.filter(kind="nut", retired_at=None).order_by("number").values_list("number", "name")),
    }


def numbered(lines: list[SentPart]) -> list[SentPart]:
    """Lines for parts, with the point that a number has where a comma was typed: `NU-M12x1,5`. At most one query."""
    typed = {line["part"] for line in lines if "," in line["part"]}
    if not typed:
        return lines
    pointed = {number: number.replace(",", ".") for number in typed}
    known = set(Part.objects.filter(number__in=[*pointed, *pointed.values()]).values_list("number", flat=True))
    meant = {number: point for number, point in pointed.items() if number not in known and point in known}
    return [{"part": meant.get(line["part"], line["part"]), "quantity": line["quantity"]} for line in lines]
