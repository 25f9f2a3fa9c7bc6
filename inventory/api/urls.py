"""Addresses of /api/v1 that need no fit computation."""

from django.urls import path
from drf_spectacular.renderers import OpenApiJsonRenderer, OpenApiJsonRenderer2, OpenApiYamlRenderer
from drf_spectacular.views import SpectacularAPIView

from inventory.api import commands, dampers, holds, jobs, receiving, shelf
from inventory.people.roles import Role


class OpenApi(SpectacularAPIView):
    """The OpenAPI document; any key may read it. JSON unless YAML is asked for."""

    renderer_classes = [OpenApiJsonRenderer, OpenApiJsonRenderer2, OpenApiYamlRenderer]
    allowed = {"GET": tuple(Role)}


urlpatterns = [
    path("schema", OpenApi.as_view()),
    path("commands", commands.Commands.as_view()),
    path("parts", shelf.Parts.as_view()),
    path("parts/<path:number>", shelf.OnePart.as_view()),
    path("lots", shelf.Lots.as_view()),
    path("lots/<path:lot>/readings/<str:reading>/withdraw", shelf.WithdrawReading.as_view()),
    path("drawers", shelf.Drawers.as_view()),
    path("movements", shelf.Movements.as_view()),
    path("changes", shelf.Changes.as_view()),
    path("deliveries", receiving.Deliveries.as_view()),
    path("deliveries/<str:delivery>", receiving.OneDelivery.as_view()),
    path("deliveries/<str:delivery>/lines", receiving.DeliveryLines.as_view()),
    path("counts", receiving.Counts.as_view()),
    path("dampers", dampers.Dampers.as_view()),
    path("dampers/<str:code>", dampers.OneDamper.as_view()),
    path("dampers/<str:code>/stacks", dampers.Stacks.as_view()),
    path("holds", holds.Holds.as_view()),
    path("holds/<str:hold>", holds.OneHold.as_view()),
    path("holds/<str:hold>/confirm", holds.Confirm.as_view()),
    path("holds/<str:hold>/extend", holds.Extend.as_view()),
    path("holds/<str:hold>/release", holds.Release.as_view()),
    path("jobs", jobs.Jobs.as_view()),
    path("jobs/<str:number>", jobs.OneJob.as_view()),
]
