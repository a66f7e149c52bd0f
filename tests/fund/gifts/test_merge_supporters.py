"""Two supporters that are one, taken together and apart again; nothing is lost either way."""

from datetime import date

import pytest

from fund.access.models import Person
from fund.gifts.actions import edit_supporter
from fund.gifts.actions_checks import hold_check
from fund.gifts.actions_loans import record_loan
from fund.gifts.actions_merge import merge_supporters, unmerge_supporters
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_pledges import record_pledge
from fund.gifts.models import Gift, HeldCheck, Loan, Pledge, Supporter, SupporterKey
from fund.gifts.queries import find_supporter, gifts_of, supporters
from fund.ledger.models import Line
from fund.money import Money
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady
from tests.fund.gifts.cases import ON, by_transfer, supporter
from tests.fund.gifts.files import patch_circle, patch_file, pledge, transfer


def belongings(one: Supporter) -> list[list[int]]:
    """The keys of everything that names a supporter."""
    rows = [
        Gift.objects.filter(supporter=one),
        SupporterKey.objects.filter(supporter=one),
        HeldCheck.objects.filter(supporter=one),
        Pledge.objects.filter(supporter=one),
        Loan.objects.filter(lender=one),
    ]
    return [list(found.order_by("pk").values_list("pk", flat=True)) for found in rows]


@pytest.fixture
def ada(treasurer: Person) -> Supporter:
    made = supporter(treasurer, "Ada Moss", "ada@example.org")
    by_transfer(treasurer, 1000, made)
    return made


@pytest.fixture
def twin(treasurer: Person) -> Supporter:
    """Another of the same name, with one of everything."""
    data = patch_file(
        pledge(
            "ch1", "03/02/2026", "5.00", Member="Ada Moss", Mail="a.moss@example.org", **{"Member No": "m7"}
        ),
        transfer("T1", "03/04/2026", "5.00"),
    )
    import_payout(by=treasurer, data=data, filename="t.csv", layout=patch_circle())
    made = Supporter.objects.get(email="a.moss@example.org")
    hold_check(
        by=treasurer,
        supporter=made,
        amount=Money(100),
        check_number="1",
        dated_on=date(2026, 5, 1),
        arrived_on=ON,
    )
    record_pledge(by=treasurer, supporter=made, amount=Money(100), due_on=date(2026, 5, 1))
    record_loan(by=treasurer, lender=made, amount=Money(100), on=ON, words="until May")
    return made


def test_everything_moves_and_comes_back_as_it_was(
    treasurer: Person, ada: Supporter, twin: Supporter
) -> None:
    before = (belongings(ada), belongings(twin))
    lines = list(Line.objects.order_by("pk").values())
    merge = merge_supporters(by=treasurer, kept=ada, gone=twin, reason="she wrote from both addresses")
    assert belongings(twin) == [[], [], [], [], []]
    assert [len(rows) for rows in belongings(ada)] == [2, 1, 1, 1, 1]
    assert list(supporters().values_list("code", flat=True)) == [ada.code]
    assert len(gifts_of(ada)) == 2
    unmerge_supporters(by=treasurer, merge=merge, reason="two cousins of one name")
    assert (belongings(ada), belongings(twin)) == before
    assert list(Line.objects.order_by("pk").values()) == lines  # the books never knew of it
    assert {one.code for one in find_supporter("Ada Moss")} == {ada.code, twin.code}


def test_what_came_after_the_merge_stays_where_it_came(
    treasurer: Person, ada: Supporter, twin: Supporter
) -> None:
    merge = merge_supporters(by=treasurer, kept=ada, gone=twin, reason="same street")
    data = patch_file(
        pledge("ch2", "03/09/2026", "5.00", to="T2", Member="A. Moss", **{"Member No": "m7"}),
        pledge("ch3", "03/09/2026", "6.00", to="T2", Member="A. Moss", Mail="a.moss@example.org"),
        transfer("T2", "03/10/2026", "11.00"),
    )
    import_payout(by=treasurer, data=data, filename="t2.csv", layout=patch_circle())
    assert Gift.objects.get(platform_ref="ch2").supporter == ada  # by the platform's id, which moved
    assert Gift.objects.get(platform_ref="ch3").supporter == ada  # by the e-mail of the one that is gone
    unmerge_supporters(by=treasurer, merge=merge, reason="two cousins")
    assert Gift.objects.get(platform_ref="ch1").supporter == twin
    assert Gift.objects.get(platform_ref="ch2").supporter == ada


def test_a_hidden_name_stays_hidden_and_is_shown_again_when_they_are_two(
    treasurer: Person, ada: Supporter, twin: Supporter
) -> None:
    edit_supporter(
        by=treasurer,
        supporter=twin,
        name=twin.name,
        email=twin.email,
        address="",
        kind="person",
        anonymous=True,
    )
    merge = merge_supporters(by=treasurer, kept=ada, gone=twin, reason="same")
    ada.refresh_from_db()
    assert ada.anonymous
    unmerge_supporters(by=treasurer, merge=merge, reason="not the same")
    ada.refresh_from_db()
    assert not ada.anonymous


def test_a_chain_of_merges_is_undone_from_its_end(treasurer: Person, ada: Supporter, twin: Supporter) -> None:
    third = supporter(treasurer, "A. Moss")
    first = merge_supporters(by=treasurer, kept=ada, gone=twin, reason="same")
    second = merge_supporters(by=treasurer, kept=third, gone=ada, reason="same")
    twin.refresh_from_db()
    assert twin.merged_into == third
    with pytest.raises(NotReady, match="was itself merged into S-0003. Undo that first"):
        unmerge_supporters(by=treasurer, merge=first, reason="not the same")
    unmerge_supporters(by=treasurer, merge=second, reason="not the same")
    twin.refresh_from_db()
    assert (twin.merged_into, len(gifts_of(ada))) == (ada, 2)
    unmerge_supporters(by=treasurer, merge=first, reason="not the same")
    assert (len(gifts_of(ada)), len(gifts_of(twin))) == (1, 1)
    with pytest.raises(AlreadyDone, match="was taken apart"):
        unmerge_supporters(by=treasurer, merge=first, reason="again")


def test_what_cannot_be_merged(treasurer: Person, owner: Person, ada: Supporter, twin: Supporter) -> None:
    with pytest.raises(BadInput, match="Choose two different supporters"):
        merge_supporters(by=treasurer, kept=ada, gone=ada, reason="x")
    with pytest.raises(BadInput, match="Say how you know"):
        merge_supporters(by=treasurer, kept=ada, gone=twin, reason=" ")
    with pytest.raises(NotAllowed):
        merge_supporters(by=owner, kept=ada, gone=twin, reason="x")
    merge_supporters(by=treasurer, kept=ada, gone=twin, reason="x")
    with pytest.raises(AlreadyDone, match=f"{twin.code} was merged into {ada.code} before"):
        merge_supporters(by=treasurer, kept=twin, gone=ada, reason="x")
    with pytest.raises(BadInput, match="was merged into another supporter. Choose that one"):
        by_transfer(treasurer, 100, Supporter.objects.get(pk=twin.pk))
