"""Every table, gathered for Django; each is defined in the room that owns it."""

from inventory.amendments.models import Amendment
from inventory.catalogue.kinds.bands import Band
from inventory.catalogue.kinds.bushes import Bush
from inventory.catalogue.kinds.fluids import Fluid
from inventory.catalogue.kinds.nuts import Nut
from inventory.catalogue.kinds.orings import ORing
from inventory.catalogue.kinds.pistons import Piston
from inventory.catalogue.kinds.seal_heads import SealHead
from inventory.catalogue.kinds.shims import Shim
from inventory.catalogue.kinds.washers import Washer
from inventory.catalogue.models import Part, Supplier
from inventory.dampers.models import Calibration, DamperModel, DamperRevision, SavedStack, StackRevision
from inventory.holds.models import Hold, HoldLine
from inventory.idempotency.models import RememberedAnswer
from inventory.jobs.models import Job, JobHold, Plan, PlanHold
from inventory.people.models import ApiKey, Brake, Client, Person, Workplace
from inventory.receiving.models import Count, Delivery, DeliveryLine
from inventory.stock.models import Balance, Drawer, Lot, Movement, Reading, ReadingWithdrawal, Site

__all__ = [
    "Amendment",
    "ApiKey",
    "Balance",
    "Band",
    "Brake",
    "Bush",
    "Calibration",
    "Client",
    "Count",
    "DamperModel",
    "DamperRevision",
    "Delivery",
    "DeliveryLine",
    "Drawer",
    "Fluid",
    "Hold",
    "HoldLine",
    "Job",
    "JobHold",
    "Lot",
    "Movement",
    "Nut",
    "ORing",
    "Part",
    "Person",
    "Piston",
    "Plan",
    "PlanHold",
    "Reading",
    "ReadingWithdrawal",
    "RememberedAnswer",
    "SavedStack",
    "SealHead",
    "Shim",
    "Site",
    "StackRevision",
    "Supplier",
    "Washer",
    "Workplace",
]
