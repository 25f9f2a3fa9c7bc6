"""The WSGI entry for gunicorn: `gunicorn inventory.project.wsgi`."""

import os

from django.core.checks import Tags, run_checks
from django.core.wsgi import get_wsgi_application

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.project.settings")
application = get_wsgi_application()
# A worker does not start on a database that could lose stock: wrong transaction mode, missing triggers.
if faults := run_checks(tags=[Tags.database], databases=["default"]):
    raise SystemExit("\n".join(str(fault) for fault in faults))
