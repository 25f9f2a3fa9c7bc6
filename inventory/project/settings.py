"""The only settings file. Everything that differs between places is read from the environment; see
docs/reference/settings.md, which a test keeps complete."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import dj_database_url

from inventory.project import env

ROOT = Path(__file__).resolve().parent.parent.parent
DATA = env.folder("SHIMSHELF_DATA", ROOT / "var")

SECRET_KEY = env.text("SHIMSHELF_SECRET_KEY")
DEMO = env.yes("SHIMSHELF_DEMO")
DEBUG = env.yes("SHIMSHELF_DEBUG")
ALLOWED_HOSTS = env.words("SHIMSHELF_ALLOWED_HOSTS", "localhost,127.0.0.1,[::1]")

# The shop's own choices.
HOLD_MINUTES = env.whole("SHIMSHELF_HOLD_MINUTES", 15)
HOLD_MINUTES_MOST = env.whole("SHIMSHELF_HOLD_MINUTES_MOST", 24 * 60)
# From the moment a hold is made, however often a storefront extends it; at least what it may ask for at once.
HOLD_MINUTES_TOTAL = max(env.whole("SHIMSHELF_HOLD_MINUTES_TOTAL", 48 * 60), HOLD_MINUTES_MOST)
STOREFRONT_SHARE_PERCENT = min(env.whole("SHIMSHELF_STOREFRONT_SHARE_PERCENT", 100), 100)
CURRENCY = env.text("SHIMSHELF_CURRENCY", "EUR")
# Which standard's years a seal may lie on the shelf: iso_2230 or arp5316d.
SHELF_LIFE = env.one_of("SHIMSHELF_SHELF_LIFE", ("iso_2230", "arp5316d"))
# The one rule of it, which the shelf loads by this name.
SHELF_LIFE_RULE = "compat.engineering.seals.shelf_life.ends_on"
LOCK_MINUTES = env.whole("SHIMSHELF_LOCK_MINUTES", 10)
REQUESTS_PER_MINUTE = env.whole("SHIMSHELF_REQUESTS_PER_MINUTE", 6000)

INSTALLED_APPS = [
    "inventory.project.admin_pages.AdminPages",
    "django.contrib.auth",
    "django.contrib.contenttypes",
    "django.contrib.sessions",
    "django.contrib.messages",
    "django.contrib.staticfiles",
    # Widgets' templates, so that the project's own templates for fields stand beside them.
    "django.forms",
    "django_htmx",
    "rest_framework",
    "django_filters",
    "drf_spectacular",
    "django_linear_migrations",
    "inventory",
    "compat",
]
MIDDLEWARE = [
    "inventory.common.request_ids.number_requests",
    "django.middleware.security.SecurityMiddleware",
    "inventory.counter.headers.strict_headers",
    "whitenoise.middleware.WhiteNoiseMiddleware",
    "django.contrib.sessions.middleware.SessionMiddleware",
    "django.middleware.common.CommonMiddleware",
    "django.middleware.csrf.CsrfViewMiddleware",
    "django.contrib.auth.middleware.AuthenticationMiddleware",
    "inventory.counter.session.end_old",
    "inventory.counter.headers.admin_by_password_alone",
    "django.contrib.messages.middleware.MessageMiddleware",
    "django.middleware.http.ConditionalGetMiddleware",
    "django.middleware.clickjacking.XFrameOptionsMiddleware",
]
TEMPLATES = [
    {
        "BACKEND": "django.template.backends.django.DjangoTemplates",
        # A question keeps the table of its figures in its own room.
        "DIRS": [Path(__file__).resolve().parents[2] / "compat" / "questions"],
        "APP_DIRS": True,
        "OPTIONS": {
            "context_processors": [
                "django.template.context_processors.request",
                "django.contrib.auth.context_processors.auth",
                "django.contrib.messages.context_processors.messages",
                "inventory.counter.navigation.frame",
            ]
        },
    }
]
FORM_RENDERER = "inventory.counter.forms.Renderer"
APPEND_SLASH = False
# Where a proxy ends TLS: its address as browsers see it, and the header by which it says that it did.
CSRF_TRUSTED_ORIGINS = env.words("SHIMSHELF_TRUSTED_ORIGINS", "")
HSTS_DAYS = env.whole("SHIMSHELF_HSTS_DAYS", 365, least=0)
if CSRF_TRUSTED_ORIGINS:
    SECURE_PROXY_SSL_HEADER = ("HTTP_X_FORWARDED_PROTO", "https")
    SESSION_COOKIE_SECURE = CSRF_COOKIE_SECURE = SECURE_SSL_REDIRECT = True
    SECURE_HSTS_SECONDS = HSTS_DAYS * 86400
    # What else is served under this name, or below it, is not this service's to promise.
    SILENCED_SYSTEM_CHECKS = ["security.W005", "security.W021"]
ROOT_URLCONF = "inventory.project.urls"
WSGI_APPLICATION = "inventory.project.wsgi.application"
AUTH_USER_MODEL = "inventory.Person"
DEFAULT_AUTO_FIELD = "django.db.models.BigAutoField"
AUTH_PASSWORD_VALIDATORS = [
    {"NAME": "django.contrib.auth.password_validation.MinimumLengthValidator", "OPTIONS": {"min_length": 10}},
    {"NAME": "django.contrib.auth.password_validation.CommonPasswordValidator"},
]

LANGUAGE_CODE = "en"
TIME_ZONE = env.text("SHIMSHELF_TIME_ZONE", "UTC")
USE_TZ = True
USE_I18N = False
STATIC_URL = "/static/"
# Static files come straight out of the packages: there is no collecting step to forget.
WHITENOISE_USE_FINDERS = True
WHITENOISE_AUTOREFRESH = False

SQLITE_OPTIONS: dict[str, Any] = {
    # IMMEDIATE: the write lock is taken when a transaction begins, so no reader ever has to upgrade its lock and
    # fail. Two tries of this timeout fit into the request deadline of 10 s (inventory/common/transactions.py).
    "transaction_mode": "IMMEDIATE",
    "timeout": 4,
    # recursive_triggers: without it INSERT OR REPLACE deletes a row unseen by its DELETE trigger.
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA recursive_triggers=ON;",
}
POSTGRESQL_OPTIONS: dict[str, Any] = {
    # A worker holds one connection for a request; where none comes in this time the database is away: 503 within 2 s.
    "pool": {"min_size": 1, "max_size": env.whole("SHIMSHELF_POOL_SIZE", 4), "timeout": 1.5},
    "connect_timeout": 2,
    # A server that has vanished from the network acknowledges nothing: the connection is given up after this, in ms.
    "tcp_user_timeout": 1500,
    # A lock that does not come within 3 s is an error that is retried inside the request deadline.
    "options": "-c lock_timeout=3s -c default_transaction_isolation=read\\ committed",
}


def _database() -> dict[str, Any]:
    place = f"sqlite:///{DATA / 'shelf.sqlite3'}"
    found: dict[str, Any] = dict(dj_database_url.parse(env.text("DATABASE_URL", place)))
    engine = str(found["ENGINE"]).rsplit(".", 1)[-1]
    if engine == "sqlite3":
        # Django's own, whose tables keep their guards through a migration, and whose file is its user's alone.
        found["ENGINE"] = "inventory.project.sqlite3"
    found["OPTIONS"] = {**(SQLITE_OPTIONS if engine == "sqlite3" else POSTGRESQL_OPTIONS), **found.get("OPTIONS", {})}
    found["CONN_HEALTH_CHECKS"] = engine != "sqlite3"
    return found


DATABASES = {"default": _database()}

REST_FRAMEWORK = {
    "DEFAULT_AUTHENTICATION_CLASSES": ["inventory.api.authentication.ApiKeyAuthentication"],
    "DEFAULT_PERMISSION_CLASSES": ["inventory.api.permissions.RoleAllowed"],
    "DEFAULT_THROTTLE_CLASSES": ["inventory.api.throttling.PerClient"],
    "DEFAULT_RENDERER_CLASSES": ["rest_framework.renderers.JSONRenderer"],
    "DEFAULT_PARSER_CLASSES": ["inventory.api.parsing.TextParser"],
    "DEFAULT_SCHEMA_CLASS": "inventory.api.schema.Schema",
    "EXCEPTION_HANDLER": "inventory.api.problems.handle",
    "UNAUTHENTICATED_USER": None,
}
SPECTACULAR_SETTINGS = {
    "TITLE": "shimshelf",
    "DESCRIPTION": "Stock, fit questions, plans and holds of a damper workshop.",
    "VERSION": "1",
    "OAS_VERSION": "3.1.0",
    "SERVE_INCLUDE_SCHEMA": False,
    "SERVE_PERMISSIONS": ["inventory.api.permissions.RoleAllowed"],
    "COMPONENT_SPLIT_REQUEST": True,
    "SCHEMA_PATH_PREFIX": "/api/v1",
    "ENUM_NAME_OVERRIDES": {"ValveEnum": "inventory.dampers.words.VALVES"},
}

LOGIN_URL = "sign-in"
CSRF_FAILURE_VIEW = "inventory.project.handlers.stale_form"
SIGNED_IN_HOURS = env.whole("SHIMSHELF_SIGNED_IN_HOURS", 12)
# Begins anew with every write; the hours from the password are counted in inventory/counter/session.py.
SESSION_COOKIE_AGE = SIGNED_IN_HOURS * 3600
SESSION_COOKIE_HTTPONLY = True
SESSION_COOKIE_SAMESITE = "Lax"
SECURE_CONTENT_TYPE_NOSNIFF = True
# Of a body without its files, in bytes: the longest plan has 40,000. A page that gives back what was typed, each sign
# of it escaped, stays below 2 MB.
DATA_UPLOAD_MAX_MEMORY_SIZE = 262_144

LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "handlers": {"console": {"class": "logging.StreamHandler"}},
    "root": {"handlers": ["console"], "level": "WARNING"},
    # A refused request is an answer, not an event.
    "filters": {"with_request_id": {"()": "inventory.common.request_ids.WithRequestId"}},
    "loggers": {"django.request": {"level": "ERROR", "filters": ["with_request_id"]}},
}
