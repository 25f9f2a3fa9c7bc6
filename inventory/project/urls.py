"""All addresses. The only place that names both apps, and only as strings."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("api/v1/", include("inventory.api.urls")),
    path("api/v1/", include("compat.urls")),
    path("admin/", admin.site.urls),
    path("", include("inventory.counter.urls")),
    path("", include("compat.pages.urls")),
]
handler400 = "inventory.project.handlers.bad_request"
handler404 = "inventory.project.handlers.not_found"
handler500 = "inventory.project.handlers.server_error"
