"""A new key for what households told: everything is sealed anew under the first key of HOUSEHOLD_KEYS."""

from typing import Any

from django.apps import apps
from django.db import models, transaction
from django.db.models import F
from django.db.models.functions import Cast

from fund.access.models import Person
from fund.sealed import is_current
from fund.sealed_fields import SealedTextField
from fund.trail.actions import record
from jobs.households.actions_papers import reseal_file
from jobs.households.actions_search import write_keys
from jobs.households.models import Household
from jobs.households.models_papers import PaperCopy

BATCH = 500


def reseal_households(*, by: Person | None) -> dict[str, int]:
    """Seal every value and file, and write every digest, under the first key; returns how many were changed, by kind.

    Goes in batches of its own transactions: it may be stopped and run again, and the crew can work meanwhile. Once it
    ends with nothing changed, the old key can be dropped. ``by`` is None from the command line.
    """
    counts: dict[str, int] = {}
    for model in apps.get_app_config("jobs").get_models():
        fields = [field for field in model._meta.concrete_fields if isinstance(field, SealedTextField)]
        if fields:
            counts[str(model._meta.verbose_name)] = _reseal(model, fields)
    counts["files"] = sum(reseal_file(copy) for copy in PaperCopy.objects.filter(deleted_on=None).iterator())
    counts["digests"] = sum(_write_digests(pk) for pk in _pks(Household))
    changed = {name: count for name, count in counts.items() if count}
    if changed:
        text = f"Sealed anew under the first key: {', '.join(f'{n} {name}' for name, n in changed.items())}."
        record(by=by, action="keys.reseal", subject="HOUSEHOLD_KEYS", text=text, data=changed)
    return counts


def _pks(model: type[models.Model]) -> list[int]:
    return list(model._default_manager.order_by("pk").values_list("pk", flat=True))


def _reseal(model: type[models.Model], fields: list[SealedTextField]) -> int:
    tokens = {f"token_{field.name}": Cast(F(field.name), models.TextField()) for field in fields}
    pks, changed = _pks(model), 0
    for start in range(0, len(pks), BATCH):
        with transaction.atomic():
            rows = model._default_manager.select_for_update().filter(pk__in=pks[start : start + BATCH])
            for row in rows.annotate(**tokens).only("pk", *(field.name for field in fields)):
                old = [field for field in fields if _is_old(getattr(row, f"token_{field.name}"))]
                if old:
                    fresh: dict[str, Any] = {field.name: getattr(row, field.attname) for field in old}
                    model._default_manager.filter(pk=row.pk).update(**fresh)
                    changed += 1
    return changed


def _is_old(token: str | None) -> bool:
    return bool(token) and not is_current((token or "").encode())


@transaction.atomic
def _write_digests(pk: int) -> int:
    household = Household.objects.select_for_update().get(pk=pk)
    if household.merged_into_id or household.forgotten_on:
        return 0
    return write_keys(household)
