"""POST /jobs, GET /jobs, /jobs/{number}."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.shapes import JobPage, JobShape
from inventory.api.showing import time
from inventory.api.views import LISTING, Resource
from inventory.documents.fields import Code, Name, Strict
from inventory.jobs.models import Job
from inventory.jobs.services import job_called, open_job
from inventory.people.roles import BENCH, STAFF


class NewJob(Strict):
    """A damper on the bench."""

    number = Code()
    title = Name(max_length=120)


class Jobs(Resource):
    """Jobs."""

    allowed = {"GET": STAFF, "POST": BENCH}
    parameters = LISTING

    @extend_schema(responses=JobPage)
    def get(self, request: Request) -> Response:
        return self.listing(Job.objects.all(), show)

    @extend_schema(request=NewJob, responses={201: JobShape})
    def post(self, request: Request) -> Response:
        asked = self.read(NewJob)
        return self.command(lambda: (201, show([open_job(**asked)])[0]))


class OneJob(Resource):
    """One job; its holds are at /holds?job=NUMBER."""

    allowed = {"GET": STAFF}

    @extend_schema(responses=JobShape)
    def get(self, request: Request, number: str) -> Response:
        return Response(show([job_called(number)])[0])


def show(jobs: Sequence[Job]) -> list[dict[str, Any]]:
    """Jobs as the API shows them."""
    return [{"number": job.number, "title": job.title, "created_at": time(job.created_at)} for job in jobs]
