"""The platforms and layouts that every fund starts with."""

import json
from typing import Any

from django.conf import settings
from django.db import transaction

from fund.gifts.actions_layouts import add_platform, save_layout
from fund.gifts.models import Layout, Platform
from fund.gifts.rules_layout import LayoutSpec


@transaction.atomic
def load_basics() -> None:
    """Load fixtures/layouts.json; what is there already, perhaps changed by the treasurer, stays as it is."""
    told = json.loads((settings.BASE_DIR / "fixtures" / "layouts.json").read_text(encoding="utf-8"))
    for row in told["platforms"]:
        if not Platform.objects.filter(code=row["code"]).exists():
            add_platform(by=None, **row)
    for row in told["layouts"]:
        if not Layout.objects.filter(name=row["name"]).exists():
            platform = Platform.objects.get(code=row.pop("platform"))
            save_layout(by=None, platform=platform, spec=spec_from(row))


def spec_from(row: dict[str, Any]) -> LayoutSpec:
    """A layout from its JSON, where a list stands for what the spec keeps as a tuple."""
    told: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value for key, value in row.items()
    }
    return LayoutSpec(**told)
