"""A worker of the server has loaded all it needs before it takes its first request."""

from __future__ import annotations

import json
import os
import subprocess
import sys

import pytest

# A worker in a process of its own: what is loaded while it is made, and what only by the first requests.
WORKER = """
import gc, json, sys
from inventory.project.wsgi import application
frozen = gc.get_freeze_count()
before = set(sys.modules)
from django.template import engines
loader = engines["django"].engine.template_loaders[0]
templates = len(loader.get_template_cache)
from django.test.client import RequestFactory
made = RequestFactory(SERVER_NAME="localhost")
sent = set(sys.modules)  # what sends a request is no part of the worker
known = before | (sent - before)
statuses = []
for path in ("/sign-in", "/api/v1/parts", "/api/v1/nothing", "/nothing", "/bench"):
    environ = made.get(path).environ
    for part in application(environ, lambda status, headers: statuses.append(status)):
        pass
late = sorted(name for name in set(sys.modules) - known if name.split(".")[0] in ("inventory", "compat", "numpy"))
more = len(loader.get_template_cache) - templates
print(json.dumps({"frozen": frozen, "late": late, "templates": templates, "more": more, "statuses": statuses}))
"""


@pytest.mark.django_db(transaction=True)
def test_the_first_requests_load_no_module_and_no_template(database_url: str) -> None:
    environment = {**os.environ, "DATABASE_URL": database_url, "DJANGO_SETTINGS_MODULE": "inventory.project.settings"}
    done = subprocess.run(
        [sys.executable, "-c", WORKER], env=environment, capture_output=True, text=True, timeout=120, check=False
    )
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout.splitlines()[-1])
    assert [one.split()[0] for one in found["statuses"]] == ["200", "401", "404", "404", "302"]
    assert found["late"] == []
    assert found["templates"] > 100 and found["more"] == 0
    assert found["frozen"] > 100_000
