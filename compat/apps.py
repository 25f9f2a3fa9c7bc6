"""The app of fit questions and plans; it has no tables."""

from django.apps import AppConfig


class CompatConfig(AppConfig):
    name = "compat"

    def ready(self) -> None:
        from inventory.counter import navigation

        navigation.add(
            navigation.Entry(20, "bench", "Bench"),
            navigation.Entry(30, "fit-desk", "Fit desk"),
            navigation.Entry(60, "dampers", "Dampers"),
        )
