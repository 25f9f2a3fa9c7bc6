"""Reading corrections."""

from __future__ import annotations

from inventory.amendments.models import Amendment, Subject


def amendments_of(subject: Subject, subject_id: int) -> list[Amendment]:
    """Every correction of one subject, newest first; one query."""
    rows = Amendment.objects.select_related("person", "client")
    return list(rows.filter(subject=subject, subject_id=subject_id).order_by("-pk"))
