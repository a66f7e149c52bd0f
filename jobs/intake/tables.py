import django_filters
import django_tables2 as tables
from django.db.models import QuerySet

from fund.filters import BookFilterSet, WordsFilter
from fund.tables import A, BookTable, DayColumn, NumberColumn
from jobs.eligibility.queries_stuck import WHY, stuck
from jobs.intake.models import Application
from jobs.intake.rules import STATES

DRIVES = {"yes": "yes", "unsafe": "not safe", "no": "no"}


class ApplicationTable(BookTable):
    """Requests by alias and complaint: what anyone of the crew may see."""

    region_label = "Requests for help"
    empty_words = "Nobody has asked for help yet."
    code = tables.Column(verbose_name="Request", linkify=("intake:request", [A("code")]))
    submitted_on = DayColumn(verbose_name="Asked on")
    alias = tables.Column(accessor="household__alias", verbose_name="Household")
    vehicle = tables.Column(
        accessor="vehicle", verbose_name="Vehicle", order_by=("vehicle_class", "vehicle_year")
    )
    drivable = tables.Column(verbose_name="Drives?")
    complaint = tables.Column(verbose_name="Complaint")
    points = NumberColumn(verbose_name="Points")
    state = tables.Column(verbose_name="State")

    def render_points(self, value: int, record: Application) -> str:
        return str(value) if record.is_open else "–"

    def value_points(self, value: int, record: Application) -> int | None:
        return value if record.is_open else None

    def render_drivable(self, record: Application) -> str:
        return DRIVES[record.drivable]

    value_drivable = render_drivable

    def render_complaint(self, value: str) -> str:
        return value if len(value) <= 120 else value[:119] + "…"


class ApplicationFilter(BookFilterSet):
    words = WordsFilter(["code", "household__alias", "complaint", "vehicle_class"])
    state = django_filters.ChoiceFilter(label="State", choices=list(STATES.items()), empty_label="any")

    stuck = django_filters.ChoiceFilter(
        label="Stands still", choices=list(WHY.items()), empty_label="any", method="of_those_stuck"
    )

    def of_those_stuck(self, rows: QuerySet[Application], name: str, value: str) -> QuerySet[Application]:
        return stuck(value, rows)

    class Meta(BookFilterSet.Meta):
        model = Application
        fields: list[str] = []
