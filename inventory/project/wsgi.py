"""The WSGI entry for gunicorn: `gunicorn inventory.project.wsgi`."""

import gc
import os
import sys

from django.core.checks import Tags, run_checks
from django.core.wsgi import get_wsgi_application
from django.db import connections

from inventory.project import loaded

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.project.settings")
application = get_wsgi_application()
# A worker does not start on a database that could lose stock: wrong transaction mode, tables of another version, guards
# that do not stand, a feed that would show new changes before old ones.
found = run_checks(tags=[Tags.database], databases=["default"])
if faults := [one for one in found if one.is_serious()]:
    raise SystemExit("\n".join(str(fault) for fault in faults))
# What only others on the machine could do is said and stops nothing.
for one in found:
    print(one, file=sys.stderr)
connections["default"].close()
# Addresses and templates too: left to the first request of each worker, they cost it most of a second, and what they
# load would be walked by every full collection.
loaded.load()
# What is loaded now stays for the life of the process; without it every full collection walks all of Django again,
# some tens of milliseconds that a request would wait for.
gc.collect()
gc.freeze()
