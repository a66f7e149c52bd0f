"""Django's import list: every model of this app lives in its feature folder."""

from jobs.approvals.models import Approval, ApprovalRelation
from jobs.eligibility.models import EligibilityDecision, GuidelineTable
from jobs.eligibility.models_second import Appeal, Letter, RuleException
from jobs.estimates.models import EstimateLine, SupplementRequest
from jobs.estimates.models_owner import OwnerYes
from jobs.estimates.models_types import JobType, JobTypeLine
from jobs.handback.models import HandBack, RoadTest
from jobs.handback.models_proof import CheckList, Comeback, FluidLine, RefusalEnd, Reminder, UnsafeRefusal
from jobs.hours.models import HoursConfirmation, HoursEntry, Rate, Skill
from jobs.hours.models_book import ClockReason
from jobs.hours.models_pay import PayDecision
from jobs.households.models import Household, Income, Member, Sighting
from jobs.households.models_keep import ConsentChange, Destruction, Hold, PutRight
from jobs.households.models_papers import PaperCopy
from jobs.households.models_search import DifferentHouseholds, SearchKey
from jobs.intake.models import Application, RelationAnswer
from jobs.intake.models_draft import Draft, Pace
from jobs.intake.models_order import OutOfTurn
from jobs.intake.models_same import Merging, Unmerging
from jobs.repairs.models import Finding, RepairOrder
from jobs.repairs.models_logs import Converter, ConverterEnd, Waste
from jobs.vehicles.models import Vehicle
from jobs.vehicles.models_checkin import CheckIn, CheckInDraft, VehiclePhoto
from jobs.vehicles.models_desk import OwnerNotice, RecallLookup

__all__ = [
    "Appeal",
    "Application",
    "Approval",
    "ApprovalRelation",
    "CheckIn",
    "CheckInDraft",
    "CheckList",
    "ClockReason",
    "Comeback",
    "ConsentChange",
    "Converter",
    "ConverterEnd",
    "Destruction",
    "DifferentHouseholds",
    "Draft",
    "EligibilityDecision",
    "EstimateLine",
    "Finding",
    "FluidLine",
    "GuidelineTable",
    "HandBack",
    "Hold",
    "HoursConfirmation",
    "HoursEntry",
    "Household",
    "Income",
    "JobType",
    "JobTypeLine",
    "Letter",
    "Member",
    "Merging",
    "OutOfTurn",
    "OwnerNotice",
    "OwnerYes",
    "Pace",
    "PaperCopy",
    "PayDecision",
    "PutRight",
    "Rate",
    "RecallLookup",
    "RefusalEnd",
    "RelationAnswer",
    "Reminder",
    "RepairOrder",
    "RoadTest",
    "RuleException",
    "SearchKey",
    "Sighting",
    "Skill",
    "SupplementRequest",
    "Unmerging",
    "UnsafeRefusal",
    "Vehicle",
    "VehiclePhoto",
    "Waste",
]
