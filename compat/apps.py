"""The app of fit questions and plans; it has no tables."""

from django.apps import AppConfig


class CompatConfig(AppConfig):
    name = "compat"
