"""The admin pages: people and clients only. No form here edits stock; the ledger does that."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.http import HttpRequest

from inventory.models import ApiKey, Client, Person

if TYPE_CHECKING:
    ModelAdmin = admin.ModelAdmin[Any]
    PeopleAdmin = UserAdmin[Person]
else:
    ModelAdmin = admin.ModelAdmin
    PeopleAdmin = UserAdmin


@admin.register(Person)
class PersonAdmin(PeopleAdmin):
    """People, with their role."""

    list_display = ("username", "first_name", "last_name", "role", "is_active")
    list_filter = ("role", "is_active")
    fieldsets = (*(UserAdmin.fieldsets or ()), ("Workshop", {"fields": ("role",)}))
    add_fieldsets = (*UserAdmin.add_fieldsets, ("Workshop", {"fields": ("role",)}))


class ReadOnlyAdmin(ModelAdmin):
    """What is made by the command api_key, which shows the key once; here it is only read."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


@admin.register(Client)
class ClientAdmin(ReadOnlyAdmin):
    """Programs that use the API."""

    list_display = ("name", "role", "created_at")


@admin.register(ApiKey)
class ApiKeyAdmin(ReadOnlyAdmin):
    """Keys by their last characters."""

    list_display = ("client", "hint", "created_at", "revoked_at")
