"""The admin pages behind the one sign-in: no form of theirs looks at a password by itself."""

from __future__ import annotations

from typing import Any, cast
from urllib.parse import urlencode

from django.contrib.admin import AdminSite
from django.contrib.auth.forms import PasswordChangeForm
from django.contrib.auth.views import PasswordChangeView
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.template.response import TemplateResponse
from django.urls import reverse

from inventory.common.errors import DomainError
from inventory.counter.commands import go
from inventory.counter.pages import refusal
from inventory.people import passwords
from inventory.people.roles import Role


class OwnPassword(PasswordChangeForm):
    """Changing one's own password, allowed by the old one."""

    required_css_class = "required"

    def clean_old_password(self) -> str:
        old = str(self.cleaned_data["old_password"])
        tried = passwords.check(self.user.username, old)
        if tried.wait:
            raise ValidationError(tried.wait_text, code="wait")
        if tried.person != self.user:
            raise ValidationError(self.error_messages["password_incorrect"], code="password_incorrect")
        return old


class Site(AdminSite):
    """The admin pages of people and programs."""

    def login(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> HttpResponse:
        """To the sign-in of all pages, whatever was sent; whoever is in is shown in or told whose these pages are."""
        if self.has_permission(request):
            return go(request, reverse("admin:index"))
        if request.user.is_authenticated:
            return refusal(request, DomainError("role_not_allowed", role=request.user.role, allowed=Role.LEAD))
        wanted = request.POST.get("next") or request.GET.get("next") or reverse("admin:index")
        return go(request, f"{reverse('sign-in')}?{urlencode({'next': wanted})}")

    def password_change(self, request: HttpRequest, extra_context: dict[str, Any] | None = None) -> TemplateResponse:
        """One's own password."""
        view = PasswordChangeView.as_view(
            form_class=OwnPassword,
            success_url=reverse("admin:password_change_done"),
            template_name="registration/password_change_form.html",
            extra_context={**self.each_context(request), **(extra_context or {})},
        )
        return cast(TemplateResponse, view(request))
