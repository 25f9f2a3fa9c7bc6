"""The tags of inputs are those of Django's own templates, sign for sign."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import django.forms
import pytest
from django import forms
from django.forms.renderers import TemplatesSetting
from django.utils.safestring import mark_safe

from inventory.counter.forms import Renderer
from inventory.counter.tags_of_fields import FOLDER, INPUTS

WIDGETS = (
    *(forms.TextInput, forms.NumberInput, forms.HiddenInput, forms.CheckboxInput, forms.DateInput, forms.EmailInput),
    forms.PasswordInput,
)
TEXTS = ("", "34", "12,5", "<b>&\"'", "a\nb", "0", "ä ±0.02", "x" * 50)
VALUES = (*TEXTS, None, True, False, 0, 12, 1.5, mark_safe("<i>as it is</i>"))
NAMES = ("id", "class", "autofocus", "aria-describedby", "maxlength", "data-<x>", "list", "required")


@pytest.mark.parametrize("widget", WIDGETS)
def test_an_input_is_written_as_djangos_own_template_writes_it(widget: type[forms.Widget]) -> None:
    draw, own, theirs = random.Random(widget.__name__), Renderer(), TemplatesSetting()
    assert widget.template_name in INPUTS
    for _ in range(300):
        attrs: dict[str, Any] = {name: draw.choice(VALUES) for name in draw.sample(NAMES, draw.randint(0, 5))}
        one = widget(attrs)
        name, value = draw.choice(TEXTS), draw.choice(VALUES)
        assert one.render(name, value, renderer=own) == one.render(name, value, renderer=theirs)


def test_a_widget_of_another_kind_keeps_its_template() -> None:
    choice = forms.Select(choices=[("a", "A"), ("b", "B")])
    assert choice.render("n", "b", renderer=Renderer()) == choice.render("n", "b", renderer=TemplatesSetting())


def test_the_templates_written_here_are_inputs_in_django_too() -> None:
    folder = Path(django.forms.__file__).parent / "templates"
    for name in INPUTS - {f"{FOLDER}input.html"}:
        assert (folder / name).read_text().strip() == '{% include "django/forms/widgets/input.html" %}'
