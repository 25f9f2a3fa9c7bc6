"""The nut of a plan: proposed from the shelf, judged where the stack puts it, held with the rest."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from compat.engineering.answers import Answer
from compat.engineering.assembly.catalogued import joint_of
from compat.engineering.nut_on_shaft import Nut, ShaftEnd
from compat.engineering.threads.designation import parse
from compat.engineering.threads.readings import as_range
from compat.plans import nut_judging
from compat.shelf import nuts
from inventory.holds.requests import Wanted
from tests import factories
from tests.api.conftest import STACKS, Caller, Json, damper_document, job, ok, problem, saved_damper, statements
from tests.api.fit import asked, codes
from tests.api.test_plan_holds import held
from tests.api.test_plans import drawn, planned

pytestmark = pytest.mark.django_db(transaction=True)

READ: Json = {"shoulder_to_lip_mm": 22.0, "base_plate_mm": 4.0, "piston_height_mm": 12.0}


def on(tuner: Caller, **shaft_end: Any) -> Json:
    """A plan on a model whose shaft end differs in this."""
    saved_damper(damper_document("OTHER", **shaft_end))
    return planned(tuner, damper="OTHER")


def alone(program: Caller, plan: Json) -> Json:
    """The question nut-on-shaft by itself, with the figures that the plan used."""
    return asked(program, "nut-on-shaft", plan["nut"]["question"])


# --- what the plan says of the nut


@pytest.mark.parametrize(
    ("shaft_end", "verdict", "code"),
    [
        ({"full_thread_start_mm": 28.0, "thread_relief": None}, "cannot_tell", "nut_may_run_out_of_thread"),
        (
            {"full_thread_start_mm": 28.0, "thread_relief": False, "relief_diameter_mm": None},
            "does_not_fit",
            "nut_runs_out_of_thread",
        ),
        ({"shaft_end_mm": 30.0}, "does_not_fit", "too_little_protrusion"),
        ({"hole_mm": 10.3}, "cannot_tell", "thread_reading_implausible"),
        ({"hole_mm": None}, "cannot_tell", "shaft_hole_unknown"),
        ({"full_thread_start_mm": None}, "cannot_tell", "full_thread_start_unknown"),
        ({"shaft_end_mm": None}, "cannot_tell", "shaft_end_unknown"),
        ({"thread": None}, "cannot_tell", "nut_thread_unknown"),
        ({"hand": None}, "cannot_tell", "nut_thread_unknown"),
        ({"thread": "M12 fine"}, "cannot_tell", "nut_thread_unknown"),
    ],
)
def test_a_plan_never_fits_on_an_end_on_which_its_nut_does_not(
    tuner: Caller, shelf: str, shaft_end: Json, verdict: str, code: str
) -> None:
    plan = on(tuner, **shaft_end)
    assert plan["verdict"] == verdict
    assert code in {one["code"] for one in plan["answer"]["findings"]}
    if plan["nut"]["question"]:
        assert alone(tuner, plan)["verdict"] == plan["nut"]["verdict"] == verdict


def test_a_plan_proposes_the_nut_and_says_where_it_sits(tuner: Caller, shelf: str) -> None:
    """17.5 mm fixed, 2.4 mm of shims and the plate of 4 mm: 23.9 mm, less and more what the lots spread."""
    plan = planned(tuner)
    nut = plan["nut"]
    assert (nut["part"], nut["verdict"], nut["missing"], nut["in_also"]) == ("OWN-NUT", "fits", 0, False)
    assert nut["lots"] == [{"lot": "L-OWN-NUT", "drawer": "N-00", "quantity": 1}]
    under = nut["question"]["nut"]["underside_mm"]
    assert under["min"] < 23.9 < under["max"] and under["nominal"] == 23.9
    main = plan["answer"]["values"]["main"]
    assert main["nut_underside_mm"]["nominal"] == main["assembly_order"][-1]["from_mm"]["nominal"] == 23.9
    # 42 mm to the end, less 23.9 and 10 of the nut; 8.1 mm stand past it.
    assert nut["values"]["protrusion_mm"]["nominal"] == 8.1


def test_the_single_question_says_the_same_of_the_same_figures(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner)
    answer = alone(tuner, plan)
    assert answer["verdict"] == "fits"
    del answer["values"]["near_misses"]
    assert answer["values"] == plan["nut"]["values"]


def test_spacers_lift_the_nut(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, readings={**READ, "shoulder_to_lip_mm": 22.4})
    assert plan["spacer"]["total_mm"] == 0.5
    assert plan["nut"]["question"]["nut"]["underside_mm"]["nominal"] == 24.4


def test_a_spacer_that_is_missing_lifts_the_nut_by_what_the_lip_allows(tuner: Caller, damper: str) -> None:
    """Nothing lies there, so what will be built is known only within the window."""
    plan = planned(tuner, readings={**READ, "shoulder_to_lip_mm": 24})
    window = plan["spacer"]["add_mm"]
    under = plan["nut"]["question"]["nut"]["underside_mm"]
    assert under["max"] - under["min"] > window["max"] - window["min"] > 0


def test_a_stack_of_unknown_height_leaves_the_nut_open(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, stacks={"compression": STACKS["compression"]})
    assert "nut_underside_unknown" in codes(plan["answer"], "measure")


# --- which nut


def test_the_best_nut_is_chosen_then_the_oldest_lot(tuner: Caller, damper: str) -> None:
    """OWN-NUT is of 2030-03-04."""
    thin = factories.nut(height_mm=6, number="THIN", locking="compound")
    factories.stocked(thin, 5, received_on=date(2020, 1, 1))
    factories.stocked(factories.nut("M12x1.5", number="OTHER"), 5, received_on=date(2020, 1, 1))
    factories.stocked(factories.nut(hand="left", number="LEFT"), 5, received_on=date(2020, 1, 1))
    assert planned(tuner)["nut"]["part"] == "OWN-NUT"
    old = factories.nut(number="OLD", locking="compound")
    factories.stocked(old, 1, lot="L-OLD", received_on=date(2025, 1, 1))
    assert planned(tuner)["nut"]["lots"][0]["lot"] == "L-OLD"
    factories.held(Wanted(quantity=1, lot="L-OLD"))
    assert planned(tuner)["nut"]["part"] == "OWN-NUT"


def test_a_nut_that_is_not_there_is_missing_and_still_judged(tuner: Caller, shelf: str) -> None:
    factories.held(Wanted(quantity=5, lot="L-OWN-NUT"))
    plan = planned(tuner)
    assert (plan["verdict"], plan["complete"], plan["missing"]) == ("fits", False, 1)
    assert (plan["nut"]["part"], plan["nut"]["lots"], plan["nut"]["missing"]) == ("OWN-NUT", [], 1)
    assert "nut_missing" in codes(plan["answer"], "warn")


def test_a_nut_that_nobody_has_ever_had_leaves_the_plan_open(tuner: Caller, shelf: str) -> None:
    plan = on(tuner, thread="M12x1.5")
    assert (plan["verdict"], plan["missing"], plan["nut"]["part"]) == ("cannot_tell", 1, None)
    assert "nut_not_on_file" in codes(plan["answer"], "measure")


def test_a_nut_asked_for_is_the_one_and_is_drawn_once(tuner: Caller, shelf: str) -> None:
    factories.stocked(factories.nut(height_mm=9.8, number="MINE", locking="compound"), 2, lot="L-MINE")
    plan = planned(tuner, also=[{"part": "MINE", "quantity": 1}])
    assert (plan["nut"]["part"], plan["nut"]["in_also"], plan["nut"]["lots"]) == ("MINE", True, [])
    assert drawn(plan)["L-MINE"] == 1 and "L-OWN-NUT" not in drawn(plan)
    assert alone(tuner, plan)["verdict"] == plan["nut"]["verdict"] == "fits"


@pytest.mark.parametrize("order", [("MINE", "THIN"), ("THIN", "MINE")])
@pytest.mark.parametrize("more", [{}, {"nut": False}])
def test_of_several_nuts_asked_for_the_worst_counts(
    tuner: Caller, shelf: str, order: tuple[str, str], more: Json
) -> None:
    for number, height_mm in (("MINE", 10), ("THIN", 4)):
        factories.stocked(factories.nut(number=number, height_mm=height_mm), 2)
    plan = planned(tuner, also=[{"part": number, "quantity": 1} for number in order], **more)
    assert plan["verdict"] != "fits"
    assert plan["nut"]["part"] == "THIN"


def test_a_nut_asked_for_that_the_catalogue_hardly_knows_never_fits(tuner: Caller, shelf: str) -> None:
    factories.stocked(factories.nut(number="BARE", chamfer_mm=None), 2)
    plan = planned(tuner, also=[{"part": "BARE", "quantity": 1}])
    assert plan["verdict"] == "cannot_tell"
    assert "nut_chamfer_unknown" in codes(plan["answer"], "measure")
    said = next(one for one in plan["answer"]["findings"] if one["code"] == "nut_chamfer_unknown")
    assert said["text"].startswith("Nut: ")
    read = planned(tuner, also=[{"part": "BARE", "quantity": 1}], nut_readings={"chamfer_mm": 0.6})
    assert read["verdict"] == "fits"


def test_a_nut_without_chamfer_and_collar_says_so_by_0_and_is_not_asked_about(tuner: Caller, shelf: str) -> None:
    flat = factories.nut(number="FLAT", chamfer_mm=0, unthreaded_mm=0, locking="prevailing")
    factories.stocked(flat, 2)
    sizes = ok(tuner.get("/parts/FLAT"))["sizes"]
    assert (sizes["chamfer_mm"], sizes["unthreaded_mm"]) == (0, 0)
    plan = planned(tuner, also=[{"part": "FLAT", "quantity": 1}])
    asked = codes(plan["answer"], "measure")
    assert not {"nut_chamfer_unknown", "nut_unthreaded_unknown"} & set(asked)
    factories.stocked(factories.nut(number="UNSAID", locking="prevailing"), 2)
    unsaid = planned(tuner, also=[{"part": "UNSAID", "quantity": 1}])
    assert "nut_unthreaded_unknown" in codes(unsaid["answer"], "measure")


def test_the_nut_may_be_left_out_and_the_plan_says_so(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, nut=False)
    assert (plan["nut"], plan["verdict"], plan["complete"]) == (None, "fits", True)
    assert "nut_left_out" in codes(plan["answer"], "note")


def test_a_base_valve_alone_gets_no_nut_from_the_shaft(tuner: Caller, shelf: str) -> None:
    document = damper_document("TWO")
    document["valves"].append({"code": "base", "shaft_mm": 12.0, "sides": {"compression": {}}})
    saved_damper(document)
    valves = [{"code": "base", "stacks": {"compression": STACKS["compression"][-1:]}}]
    plan = ok(tuner.ask("/plans", {"damper": "TWO", "valves": valves}))
    assert plan["nut"] is None and "gauge_nut_pitch" not in {one["code"] for one in plan["to_confirm"]}


# --- what the bench reads


def test_what_the_bench_has_read_is_taken_and_no_longer_listed(tuner: Caller, shelf: str) -> None:
    readings = {**READ, "gauged_pitch_mm": 1.25, "major_mm": 11.9, "end_condition": "plain"}
    nut = {"part": "OWN-NUT", "gauged_pitch_mm": 1.25, "minor_mm": 10.75, "height_mm": 10.0, "chamfer_mm": 0.6}
    plan = planned(tuner, readings=readings, nut_readings=nut)
    assert plan["verdict"] == "fits"
    assert [one["code"] for one in plan["to_confirm"]] == ["see_nut_new", "see_straddle"]
    assert plan["nut"]["question"]["shaft"]["major_mm"]["nominal"] == 11.9


@pytest.mark.parametrize(
    ("more", "verdict"),
    [
        ({"readings": {**READ, "gauged_pitch_mm": 1.5}}, "does_not_fit"),
        ({"readings": {**READ, "gauged_threads_per_inch": 20}}, "cannot_tell"),
        ({"readings": {**READ, "end_condition": "peened"}}, "does_not_fit"),
        ({"readings": {**READ, "major_mm": 11.7}}, "cannot_tell"),
        ({"nut_readings": {"part": "OWN-NUT", "gauged_pitch_mm": 1.5}}, "does_not_fit"),
        ({"nut_readings": {"part": "OWN-NUT", "height_mm": 4.0}}, "cannot_tell"),
    ],
)
def test_a_reading_counts_before_the_label(tuner: Caller, shelf: str, more: Json, verdict: str) -> None:
    plan = planned(tuner, **more)
    assert plan["verdict"] == verdict
    assert alone(tuner, plan)["verdict"] == verdict


def test_nuts_that_the_catalogue_describes_alike_are_judged_once(
    tuner: Caller, shelf: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three parts in seven lots are of two descriptions; the one that was read is judged by itself."""
    for number, height_mm in (("A", 10), ("B", 10), ("C", 10.8)):
        part = factories.nut(height_mm=height_mm, number=number, locking="compound")
        for lot in range(2):
            factories.stocked(part, 1, lot=f"{number}-{lot}", drawer=f"D-{number}{lot}")
    asked_of = list[float]()

    def counted(shaft: ShaftEnd, nut: Nut, *rest: Any, **more: Any) -> Answer:
        asked_of.append(as_range(nut.height_mm or 0).nominal)
        return joint_of(shaft, nut, *rest, **more)

    monkeypatch.setattr(nut_judging, "joint_of", counted)
    planned(tuner)
    assert sorted(asked_of) == [10, 10.8]
    asked_of.clear()
    planned(
        tuner, also=[{"part": number, "quantity": 1} for number in "ABC"], nut_readings={"part": "B", "minor_mm": 10.8}
    )
    assert sorted(asked_of) == [10, 10, 10.8]


def test_a_free_nut_takes_two_queries_however_many_there_are(db: None) -> None:
    for number in range(3):
        with statements() as few:
            found = nuts.free_of(parse("M12x1.25"), "right")
        assert len(few) == 2 and len(found) == number
        factories.stocked(factories.nut(number=f"N-{number}"), 2, drawer=f"D-{number}")
    with statements() as one:
        assert [stock.part for stock in nuts.of_thread(parse("M12x1.25"), "right")] == ["N-0", "N-1", "N-2"]
    assert len(one) == 1


# --- a reading beside what the catalogue says, and whose reading it is


@pytest.mark.parametrize(
    ("read", "code"),
    [
        ({"height_mm": 6.0}, "nut_reading_contradicts"),
        ({"height_mm": 9.3}, "nut_reading_contradicts"),
        ({"height_mm": 10.7}, "nut_reading_contradicts"),
        ({"height_mm": 14.0}, "nut_reading_contradicts"),
        ({"height_mm": {"min": 10.0, "max": 14.0}}, "nut_reading_may_contradict"),
        ({"chamfer_mm": 1.3}, "nut_reading_contradicts"),
        ({"unthreaded_mm": 0.7}, None),
        ({"property_class": "12"}, "nut_marking_contradicts"),
        ({"tolerance_class": "7H"}, "nut_marking_contradicts"),
        ({"height_mm": 9.5}, None),
        ({"height_mm": 10.5}, None),
        ({"property_class": "10", "tolerance_class": "6H", "chamfer_mm": 0.9}, None),
    ],
)
def test_a_reading_that_contradicts_the_catalogue_is_asked_about(
    tuner: Caller, shelf: str, read: Json, code: str | None
) -> None:
    """OWN-NUT is 10 mm high with chamfers of 0.6 mm, of class 10 and 6H. The 0.6 mm about a height are those of ISO
    4759-1 with room for rounding, from memory."""
    plan = planned(tuner, nut_readings={"part": "OWN-NUT", **read})
    found = {one["code"] for one in plan["answer"]["findings"] if one["code"].endswith(("contradicts", "contradict"))}
    assert found == ({code} if code else set())
    assert plan["verdict"] == ("cannot_tell" if code else "fits")
    single = alone(tuner, plan)
    assert (single["verdict"], single["values"]["engagement_mm"]) == (
        plan["nut"]["verdict"],
        plan["nut"]["values"]["engagement_mm"],
    )
    if code:
        said = next(one["text"] for one in single["findings"] if one["code"] == code)
        assert "OWN-NUT" in said and "again" in said


@pytest.mark.parametrize("named", [{"also": [{"part": "OWN-NUT", "quantity": 1}]}, {}])
def test_readings_belong_to_the_nut_that_is_named_or_to_none(tuner: Caller, shelf: str, named: Json) -> None:
    """Of a nut that is asked for the reading counts; where nobody says whose it is, nothing fits."""
    factories.stocked(factories.nut(height_mm=10.8, number="OTHER-NUT", locking="compound"), 2)
    unnamed = planned(tuner, nut_readings={"gauged_pitch_mm": 1.5}, **named)
    asked_for = "nut_readings_of_which" in codes(unnamed["answer"], "measure")
    assert asked_for is not bool(named)
    assert unnamed["verdict"] == ("does_not_fit" if named else "cannot_tell")
    assert unnamed["nut"]["question"]["nut"]["gauged_pitch_mm"] == (1.5 if named else 1.25)


def test_a_reading_never_makes_another_nut_fit(tuner: Caller, shelf: str) -> None:
    """THIN is too thin by the catalogue. The height read of a thick one does not count for it, named or not."""
    factories.held(Wanted(quantity=5, lot="L-OWN-NUT"))
    factories.stocked(factories.nut(height_mm=4, number="THIN", locking="compound"), 5)
    assert planned(tuner)["verdict"] == "cannot_tell"
    assert planned(tuner, nut_readings={"height_mm": 10.0})["verdict"] == "cannot_tell"
    own = planned(tuner, nut_readings={"part": "OWN-NUT", "height_mm": 10.0})
    assert (own["nut"]["part"], own["verdict"], own["missing"]) == ("OWN-NUT", "fits", 1)
    thin = planned(tuner, nut_readings={"part": "THIN", "height_mm": 10.0})
    assert (thin["nut"]["part"], thin["verdict"]) == ("THIN", "cannot_tell")


def test_of_several_nuts_asked_for_only_the_named_one_was_read(tuner: Caller, shelf: str) -> None:
    factories.stocked(factories.nut(number="BARE", chamfer_mm=None), 2)
    both = [{"part": "BARE", "quantity": 1}, {"part": "OWN-NUT", "quantity": 1}]
    read = {"chamfer_mm": 0.6}
    assert "nut_readings_of_which" in codes(planned(tuner, also=both, nut_readings=read)["answer"], "measure")
    assert planned(tuner, also=both, nut_readings={**read, "part": "BARE"})["verdict"] == "fits"
    other = planned(tuner, also=both, nut_readings={**read, "part": "OWN-NUT"})
    assert (other["nut"]["part"], other["verdict"]) == ("BARE", "cannot_tell")
    alien = planned(tuner, also=both[1:], nut_readings={**read, "part": "BARE"})
    assert "nut_readings_of_another" in codes(alien["answer"], "measure") and alien["verdict"] == "cannot_tell"


def test_the_nut_that_was_read_is_one_of_the_catalogue_and_of_this_thread(tuner: Caller, shelf: str) -> None:
    factories.stocked(factories.nut("M12x1.5", number="COARSER"), 2)
    plan = planned(tuner, nut_readings={"part": "COARSER", "height_mm": 10.0})
    assert plan["verdict"] == "does_not_fit" and "nut_is_another" in codes(plan["answer"], "stop")
    for wrong in ("NOBODY", factories.shim(number="NO-NUT").number):
        sent = {"damper": shelf, "stacks": STACKS, "nut_readings": {"part": wrong, "height_mm": 10}}
        body = problem(tuner.ask("/plans", sent), 400, "invalid")
        assert body["errors"][0]["field"] == "nut_readings.part"


def test_two_pitches_of_one_part_are_refused(tuner: Caller, shelf: str) -> None:
    both = {"gauged_pitch_mm": 1.25, "gauged_threads_per_inch": 20}
    for name in ("readings", "nut_readings"):
        problem(tuner.ask("/plans", {"damper": shelf, "stacks": STACKS, name: both}), 400, "invalid")


# --- two statements, and the hold


def test_the_weaker_of_the_two_statements_leads(tuner: Caller, shelf: str) -> None:
    good = planned(tuner)
    assert (good["can_be_built"], good["leads"], good["headline"]) == (True, "fits", "It fits.")
    assert good["answer"]["summary"].startswith("It fits. All of it is on the shelf.")
    many = [{**STACKS["compression"][0], "quantity": 14}, *STACKS["compression"][1:]]
    saved_damper(damper_document("LONG", shoulder_to_lip_mm=24.4, full_thread_start_mm=26.4, shaft_end_mm=44.4))
    lacking = planned(tuner, damper="LONG", stacks={**STACKS, "compression": many}, allow={"stand_ins": False})
    assert (lacking["verdict"], lacking["leads"], lacking["missing"]) == ("fits", "missing", 4)
    assert lacking["answer"]["summary"].startswith(
        "It cannot be built from the shelf as it is: 4 pieces are missing. By the sizes it fits."
    )
    stopped = planned(tuner, readings={**READ, "shoulder_to_lip_mm": 21.5})
    assert stopped["leads"] == "does_not_fit" and stopped["answer"]["summary"].startswith("It does not fit.")


def test_the_hold_claims_the_nut_and_a_nut_that_is_gone_is_a_new_plan(tuner: Caller, shelf: str) -> None:
    plan = planned(tuner, job=job())
    assert held(ok(tuner.post(f"/plans/{plan['plan']}/hold", {}), 201)) == drawn(plan)
    second = planned(tuner)
    factories.held(Wanted(quantity=4, lot="L-OWN-NUT"))
    body = problem(tuner.post(f"/plans/{second['plan']}/hold", {}), 409, "shelf_changed")
    assert body["data"]["plan"]["nut"]["missing"] == 1
