import django_filters
import django_tables2 as tables

from fund.filters import BookFilterSet
from fund.tables import A, BookTable, DayColumn, NumberColumn
from jobs.households.filters import SealedWordsFilter
from jobs.households.models import Household
from jobs.households.rules import AREAS


class HouseholdTable(BookTable):
    """Households by alias; names stay on the household's own page."""

    region_label = "Households"
    empty_words = "No household is entered yet. Each comes with its first request for help."
    alias = tables.Column(verbose_name="Household", linkify=("households:household", [A("code")]))
    code = tables.Column()
    size = NumberColumn(verbose_name="People")
    requests = NumberColumn()
    state = tables.Column(verbose_name="Latest request", orderable=True)
    area = tables.Column()
    entered_on = DayColumn(verbose_name="Entered on")

    def render_area(self, record: Household) -> str:
        return AREAS[record.area]

    value_area = render_area


class HouseholdFilter(BookFilterSet):
    words = SealedWordsFilter(
        ["alias", "code"],
        kinds=("name", "phone", "email", "address", "plate", "vin"),
        label="Alias, code; or a whole name, phone, address, plate or VIN",
    )
    area = django_filters.ChoiceFilter(label="Area", choices=list(AREAS.items()), empty_label="any")

    class Meta(BookFilterSet.Meta):
        model = Household
        fields: list[str] = []
