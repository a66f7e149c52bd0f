import django_tables2 as tables

from fund.access.models import Person
from fund.tables import A, BookTable, MomentColumn


class PeopleTable(BookTable):
    region_label = "Crew members"

    label = tables.Column(
        "Name", linkify=("access:person", [A("username")]), order_by=("first_name", "last_name")
    )
    username = tables.Column("Sign-in name")
    roles = tables.Column("Roles", accessor="groups", orderable=False)
    is_active = tables.Column("Sign-in")
    last_login = MomentColumn(verbose_name="Last signed in")

    def render_roles(self, record: Person) -> str:
        return ", ".join(sorted(group.name for group in record.groups.all())) or "none"

    def value_roles(self, record: Person) -> str:
        return self.render_roles(record)

    def render_is_active(self, value: bool) -> str:
        return "open" if value else "ended"
