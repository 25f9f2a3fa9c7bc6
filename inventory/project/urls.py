"""All addresses. The only place that names both apps, and only as strings."""

from django.contrib import admin
from django.urls import include, path
from django.views.generic import RedirectView

urlpatterns = [
    path("api/v1/", include("inventory.api.urls")),
    path("api/v1/", include("compat.urls")),
    path("admin/", admin.site.urls),
    path("", RedirectView.as_view(url="/admin/")),
]
handler400 = "inventory.api.problems.bad_request"
handler404 = "inventory.api.problems.not_found"
handler500 = "inventory.api.problems.server_error"
