"""The WSGI entry for gunicorn: `gunicorn inventory.project.wsgi`."""

import gc
import os
import sys

from django.core.checks import Tags, run_checks
from django.core.wsgi import get_wsgi_application
from django.db import connections
from django.db.migrations.executor import MigrationExecutor

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.project.settings")
application = get_wsgi_application()
# A worker does not start on a database that could lose stock: wrong transaction mode, missing triggers.
found = run_checks(tags=[Tags.database], databases=["default"])
if faults := [one for one in found if one.is_serious()]:
    raise SystemExit("\n".join(str(fault) for fault in faults))
# What only others on the machine could do is said and stops nothing.
for one in found:
    print(one, file=sys.stderr)
executor = MigrationExecutor(connections["default"])
if executor.migration_plan(executor.loader.graph.leaf_nodes()):
    raise SystemExit("The database is not migrated; run `python3 start.py manage migrate` first.")
connections["default"].close()
# What is loaded now stays for the life of the process; without it every full collection walks all of Django again,
# some tens of milliseconds that a request would wait for.
gc.collect()
gc.freeze()
