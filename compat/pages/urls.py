"""Addresses of the pages that show a verdict, a search or a drawing."""

from django.urls import path

from compat.pages.bench import bench
from compat.pages.calibration import calibration_pages
from compat.pages.damper_models import dampers
from compat.pages.fit import fit_desk
from compat.pages.part import parts
from compat.pages.plan import holds, plans
from compat.pages.today import buildable
from compat.questions.parts_by_size import page as parts_by_size

urlpatterns = [
    path("bench", bench.bench, name="bench"),
    path("bench/answer", bench.answer, name="bench-answer"),
    path("bench/curves", bench.curves, name="bench-curves"),
    path("bench/others", bench.others, name="bench-others"),
    path("buildable", buildable.buildable, name="buildable"),
    path("plans/<int:plan>", plans.plan, name="plan"),
    path("plans/<int:plan>/curves", plans.curves, name="plan-curves"),
    path("plans/<int:plan>/hold", plans.hold, name="hold-plan"),
    path("holds/<int:hold>", holds.hold, name="hold"),
    path("holds/<int:hold>/release", holds.release, name="release-hold"),
    path("parts/by-size", parts_by_size.by_size, name="parts-by-size"),
    path("parts/<path:number>", parts.part, name="part"),
    path("dampers", dampers.dampers, name="dampers"),
    path("dampers/new", dampers.new_damper, name="new-damper"),
    path("dampers/<str:code>", dampers.damper, name="damper"),
    path("dampers/<str:code>/edit", dampers.edit_damper, name="edit-damper"),
    path("dampers/<str:code>/calibrate", calibration_pages.calibrate, name="calibrate"),
    path(
        "dampers/<str:code>/calibrations/<int:calibration>/withdraw",
        calibration_pages.withdraw,
        name="withdraw-calibration",
    ),
    path("fit", fit_desk.fit_desk, name="fit-desk"),
    path("fit/<slug:question>", fit_desk.question, name="fit-question"),
]
