import django_tables2 as tables

from fund.filters import BookFilterSet
from fund.tables import A, BookTable, NumberColumn
from jobs.households.filters import SealedWordsFilter


class VehicleTable(BookTable):
    empty_words = "No vehicle is written down yet. It is added when a repair order is opened."
    region_label = "Vehicles"

    household = tables.Column(
        "Household", accessor="household__alias", linkify=("vehicles:change", [A("pk")])
    )
    year = NumberColumn(verbose_name="Year")
    vehicle_class = tables.Column("Kind")
    make_model = tables.Column("Make and model")
    plate = tables.Column("Plate", orderable=False)
    vin = tables.Column("VIN", orderable=False)
    vin_warning = tables.Column("Look again", orderable=False)
    mileage = NumberColumn(verbose_name="Miles")


class VehicleFilter(BookFilterSet):
    words = SealedWordsFilter(
        ["household__alias", "vehicle_class", "make_model"],
        kinds=("plate", "vin"),
        household="household",
        label="Words, or a whole plate or VIN",
    )
