"""The tables are what the models say, though each app makes them in one step."""

from typing import Any

import pytest
from django.apps import apps
from django.db import connection, models

pytestmark = pytest.mark.django_db
OURS = [
    model
    for model in apps.get_models(include_auto_created=True)
    if model._meta.app_label in ("fund", "jobs", "reports")
]


def _described(model: type[models.Model]) -> tuple[set[str], dict[str, Any]]:
    with connection.cursor() as cursor:
        columns = connection.introspection.get_table_description(cursor, model._meta.db_table)
        return {column.name for column in columns}, connection.introspection.get_constraints(
            cursor, model._meta.db_table
        )


@pytest.mark.parametrize("model", OURS, ids=lambda model: model._meta.label)
def test_a_table_has_the_columns_constraints_indexes_and_links_of_its_model(
    model: type[models.Model],
) -> None:
    columns, found = _described(model)
    assert columns == {field.column for field in model._meta.concrete_fields}
    named = {row.name for row in (*model._meta.constraints, *model._meta.indexes)}
    assert named <= set(found)
    linked = [field for field in model._meta.concrete_fields if isinstance(field, models.ForeignKey)]
    links = {(row.column, (row.target_field.model._meta.db_table, row.target_field.column)) for row in linked}
    assert links == {(row["columns"][0], row["foreign_key"]) for row in found.values() if row["foreign_key"]}


def test_there_are_models_to_look_at() -> None:
    assert len(OURS) > 100
