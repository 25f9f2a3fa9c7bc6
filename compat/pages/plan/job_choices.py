"""The jobs that a plan or its hold may be for."""

from __future__ import annotations

from inventory.jobs.models import Job

MOST_JOBS = 50


def jobs() -> list[tuple[str, str]]:
    """(number, title) of the newest jobs; one query."""
    return list(Job.objects.order_by("-pk").values_list("number", "title")[:MOST_JOBS])
