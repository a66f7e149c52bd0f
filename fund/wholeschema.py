"""All tables of an app in one step, for the first migration of a new database.

Django draws every related model anew after each operation that adds one. Nearly all of ours hang on the crew and on one
another, so some hundred of them one by one cost half a minute; drawn once, they cost a second.
"""

from collections.abc import Sequence
from typing import Any

from django.db.migrations.operations import CreateModel
from django.db.migrations.operations.base import Operation


class WholeSchema(Operation):
    """What these operations come to, made at once from the state after the last of them.

    They may only add models to an app that has none, and fields, constraints and indexes to those.
    """

    reversible = False

    def __init__(self, operations: Sequence[Operation]) -> None:
        self.operations = list(operations)

    def deconstruct(self) -> tuple[str, Sequence[Any], dict[str, Any]]:
        return type(self).__name__, [self.operations], {}

    def state_forwards(self, app_label: str, state: Any) -> None:
        state.__dict__.pop("apps", None)  # drawn again, once, when somebody asks for it
        for operation in self.operations:
            operation.state_forwards(app_label, state)

    def database_forwards(self, app_label: str, schema_editor: Any, from_state: Any, to_state: Any) -> None:
        for operation in self.operations:
            if isinstance(operation, CreateModel):
                model = to_state.apps.get_model(app_label, operation.name)
                if self.allow_migrate_model(schema_editor.connection.alias, model):
                    schema_editor.create_model(model)

    def describe(self) -> str:
        return f"Make {sum(isinstance(operation, CreateModel) for operation in self.operations)} tables"
