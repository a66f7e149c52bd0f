from dataclasses import replace
from typing import Any

import pytest

from fund.access.models import Person
from fund.gifts.actions_layouts import add_platform, save_layout
from fund.gifts.models import Layout, Platform
from fund.gifts.setup import load_basics
from fund.ledger.actions import add_clearing_account
from fund.refusal import AlreadyDone, BadInput, NotAllowed
from tests.fund.gifts.files import patch_circle


def test_a_layout_is_saved_and_saved_again_under_its_name(treasurer: Person) -> None:
    layout = patch_circle()
    save_layout(by=treasurer, platform=layout.platform, spec=replace(layout.spec, date_order="YMD"))
    assert patch_circle().pk == layout.pk
    assert patch_circle().spec.date_order == "YMD"


@pytest.mark.parametrize(
    ("change", "reason"),
    [
        ({"columns": {"ref": "Id", "date": "Day", "type": "Kind"}}, "Name the column that holds: amount."),
        ({"fees": {"Card Cost": "tip"}}, "The fee column “Card Cost” is neither platform nor processing."),
        ({"fees": {"Mail": "platform"}}, "The column “Mail” is named twice."),
        ({"words": {"Pledge": "gift"}}, "Give at least one word that marks the payout to the bank."),
        ({"words": {"a": "gift", "b": "payout", "c": "gold"}}, "“c” cannot mean “gold”."),
        ({"date_order": "DYM"}, "“DYM” is not a date order."),
        ({"encoding": "klingon"}, "“klingon” is not an encoding."),
        ({"decimal_mark": ","}, "The decimal mark and the delimiter cannot both be a comma."),
    ],
)
def test_a_layout_that_could_not_read_a_file_is_refused(
    treasurer: Person, change: dict[str, Any], reason: str
) -> None:
    layout = patch_circle()
    with pytest.raises(BadInput) as caught:
        save_layout(by=treasurer, platform=layout.platform, spec=replace(layout.spec, **change))
    assert reason in caught.value.details
    assert patch_circle().spec == layout.spec


def test_a_name_belongs_to_one_platform(treasurer: Person) -> None:
    kettle = Platform.objects.get(code="kettle-card")
    with pytest.raises(BadInput, match="is taken by a layout of Patch Circle"):
        save_layout(by=treasurer, platform=kettle, spec=patch_circle().spec)


def test_each_platform_has_its_own_clearing_account(treasurer: Person) -> None:
    new = add_clearing_account(by=treasurer, name="Millpond Pay")
    told = {"name": "Millpond Pay", "kind": "card"}
    with pytest.raises(BadInput, match="already clears another platform"):
        add_platform(by=treasurer, code="millpond", account="1031", **told)
    with pytest.raises(BadInput, match="Account 1000 is not a clearing account"):
        add_platform(by=treasurer, code="millpond", account="1000", **told)
    assert add_platform(by=treasurer, code="millpond", account=new.code, **told).account == new
    with pytest.raises(AlreadyDone, match="There is already a platform “millpond”"):
        add_platform(by=treasurer, code="millpond", account=new.code, **told)


def test_loading_the_basics_again_keeps_what_the_treasurer_changed(treasurer: Person) -> None:
    layout = patch_circle()
    save_layout(by=treasurer, platform=layout.platform, spec=replace(layout.spec, encoding="cp1252"))
    load_basics()
    assert patch_circle().encoding == "cp1252"
    assert Layout.objects.count() == Platform.objects.count() == 2


def test_only_a_treasurer_changes_a_layout(owner: Person) -> None:
    with pytest.raises(NotAllowed, match="Only a treasurer may change how payout files are read"):
        save_layout(by=owner, platform=patch_circle().platform, spec=patch_circle().spec)
