"""Addresses of /api/v1 that compute."""

from django.urls import path

from compat.api import calibrations, damper_parts, fit, plans, today
from compat.asking.rooms import questions

urlpatterns = [
    *(path(f"fit/{slug}", fit.view_of(question).as_view()) for slug, question in questions().items()),
    path("dampers/<str:code>/parts", damper_parts.DamperParts.as_view()),
    path("dampers/<str:code>/calibrations", calibrations.Calibrations.as_view()),
    path("dampers/<str:code>/calibrations/<str:calibration>/withdraw", calibrations.WithdrawCalibration.as_view()),
    path("buildable", today.Buildable.as_view()),
    path("plans", plans.Plans.as_view()),
    path("plans/<str:plan>", plans.OnePlan.as_view()),
    path("plans/<str:plan>/hold", plans.HoldPlan.as_view()),
]
