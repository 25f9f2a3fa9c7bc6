"""Output shapes for the OpenAPI document. Answers are plain mappings; tests hold them against these shapes."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers


def shape(name: str, /, **fields: serializers.Field[Any, Any, Any, Any]) -> type[serializers.Serializer[Any]]:
    """A serializer class of that name with these fields."""
    return type(name, (serializers.Serializer,), fields)


def page_of(name: str, one: type[serializers.Serializer[Any]]) -> type[serializers.Serializer[Any]]:
    """The shape of a list of `one`."""
    return shape(name, results=one(many=True), next=serializers.CharField(allow_null=True))


def _text(**options: Any) -> serializers.CharField:
    return serializers.CharField(**options)


def _whole() -> serializers.IntegerField:
    return serializers.IntegerField()


def _number(**options: Any) -> serializers.FloatField:
    return serializers.FloatField(**options)


AMOUNTS = ("on_hand", "held", "available", "over_age", "age_to_check")


def _amounts() -> dict[str, serializers.Field[Any, Any, Any, Any]]:
    return {name: _whole() for name in AMOUNTS}


QuantitiesShape = shape("Quantities", **_amounts())
PartShape = shape(
    "Part",
    number=_text(),
    kind=_text(),
    name=_text(),
    unit=_text(),
    sizes=serializers.DictField(),
    **_amounts(),
    take_offs=QuantitiesShape(),
    retired=serializers.BooleanField(),
)
ThicknessShape = shape("Thickness", readings=_whole(), mean_mm=_number(), min_mm=_number(), max_mm=_number())
PlaceShape = shape("Place", drawer=_text(), **_amounts())
WithdrawnShape = shape("Withdrawn", at=serializers.DateTimeField(), who=_text(), reason=_text())
ReadingShape = shape(
    "Reading",
    id=_text(),
    mm=_number(),
    taken_at=serializers.DateTimeField(),
    who=_text(),
    withdrawn=WithdrawnShape(allow_null=True),
)
LotShape = shape(
    "Lot",
    number=_text(),
    part=_text(),
    condition=_text(),
    supplier=_text(allow_null=True),
    source=_text(allow_blank=True),
    received_on=serializers.DateField(),
    cure_date=_text(allow_null=True),
    age=_text(),
    shelf_life_until=serializers.DateField(allow_null=True),
    thickness=ThicknessShape(allow_null=True),
    readings=ReadingShape(many=True),
    places=PlaceShape(many=True),
)
DrawerLotShape = shape("DrawerLot", lot=_text(), part=_text(), **_amounts())
DrawerShape = shape("Drawer", code=_text(), site=_text(), lots=DrawerLotShape(many=True), lots_in_all=_whole())
CauseShape = shape("Cause", kind=_text(), id=_text())
MoneyShape = shape("Money", minor=_whole(), currency=_text())
MovementShape = shape(
    "Movement",
    id=_text(),
    posting=_text(),
    part=_text(),
    lot=_text(),
    drawer=_text(),
    version=_whole(),
    on_hand_delta=_whole(),
    held_delta=_whole(),
    on_hand=_whole(),
    held=_whole(),
    who=_text(),
    reason=_text(),
    cause=CauseShape(),
    reverses=_text(allow_null=True),
    at=serializers.DateTimeField(),
    unit_cost=MoneyShape(allow_null=True),
)
ChangeShape = shape("Change", part=_text(), condition=_text(), available_delta=_whole(), at=serializers.DateTimeField())
ChangesShape = shape("Changes", results=ChangeShape(many=True), next=_text())
PartPage = page_of("PartPage", PartShape)
LotPage = page_of("LotPage", LotShape)
DrawerPage = page_of("DrawerPage", DrawerShape)
MovementPage = page_of("MovementPage", MovementShape)
HoldLineShape = shape(
    "HoldLine", part=_text(), lot=_text(), drawer=_text(), quantity=_whole(), asked=_whole(), condition=_text()
)
HoldShape = shape(
    "Hold",
    id=_text(),
    state=_text(),
    purpose=_text(),
    job=_text(allow_null=True),
    created_at=serializers.DateTimeField(),
    expires_at=serializers.DateTimeField(allow_null=True),
    lines=HoldLineShape(many=True),
)
HoldPage = page_of("HoldPage", HoldShape)
JobShape = shape("Job", number=_text(), title=_text(), created_at=serializers.DateTimeField())
JobPage = page_of("JobPage", JobShape)
CommandShape = shape(
    "Command",
    key=_text(),
    method=_text(),
    path=_text(),
    outcome=serializers.ChoiceField(choices=["done", "refused"]),
    status=_whole(),
    body=serializers.JSONField(allow_null=True),
    at=serializers.DateTimeField(),
)
CommandPage = page_of("CommandPage", CommandShape)
DeliveryLineShape = shape("DeliveryLine", part=_text(), lot=_text(), drawer=_text(), quantity=_whole())
DeliveryShape = shape(
    "Delivery",
    id=_text(),
    number=_text(),
    supplier=_text(allow_null=True),
    note=_text(allow_blank=True),
    received_on=serializers.DateField(),
    lines=DeliveryLineShape(many=True),
    lines_in_all=_whole(),
)
DeliveryLinePage = page_of("DeliveryLinePage", DeliveryLineShape)
DeliveryPage = page_of("DeliveryPage", DeliveryShape)
ShortenedShape = shape("Shortened", hold=_text(), by=_whole(), owner=_text())
CountShape = shape(
    "Count",
    id=_text(),
    lot=_text(),
    drawer=_text(),
    counted=_whole(),
    expected=_whole(),
    difference=_whole(),
    shortened=ShortenedShape(many=True),
)
DamperShape = shape(
    "Damper",
    code=_text(),
    name=_text(),
    revision=_whole(),
    valves=serializers.ListField(),
    shaft_end=serializers.DictField(allow_null=True),
    band=serializers.DictField(allow_null=True),
    shaft=serializers.DictField(allow_null=True),
    rod_gland=serializers.DictField(allow_null=True),
    oil=serializers.DictField(allow_null=True),
    limits=serializers.ListField(),
)
DamperPage = page_of("DamperPage", DamperShape)
StackShape = shape(
    "SavedStack",
    name=_text(),
    valve=_text(),
    revision=_whole(),
    note=_text(allow_blank=True),
    stacks=serializers.DictField(),
)
StackPage = page_of("StackPage", StackShape)
