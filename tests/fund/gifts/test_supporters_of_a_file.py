"""Who gave, when a payout file says it in its own words."""

from fund.access.models import Person
from fund.gifts.actions import add_supporter
from fund.gifts.actions_payout import import_payout
from fund.gifts.models import Gift, Supporter
from tests.fund.gifts.files import patch_circle, patch_file, pledge, transfer


def post(by: Person, number: int, *members: dict[str, str]) -> list[str]:
    """Book one pledge of 5.00 for each member; gives the supporters' codes in the order of the file."""
    payout = f"T{number}"
    rows = [
        pledge(f"{payout}-{i}", f"03/{number:02}/2026", "5.00", to=payout, **told)
        for i, told in enumerate(members)
    ]
    rows.append(transfer(payout, f"03/{number:02}/2026", f"{5 * len(members)}.00"))
    import_payout(by=by, data=patch_file(*rows), filename="f.csv", layout=patch_circle())
    gifts = Gift.objects.filter(payout__ref=payout).order_by("code").select_related("supporter")
    return [gift.supporter.code if gift.supporter else "-" for gift in gifts]


def test_the_platforms_own_id_decides_even_after_a_change_of_name_and_mail(treasurer: Person) -> None:
    assert post(treasurer, 1, {"Member No": "m1", "Member": "Ada Moss", "Mail": "ada@example.org"}) == [
        "S-0001"
    ]
    assert post(treasurer, 2, {"Member No": "m1", "Member": "Ada Reed", "Mail": "new@example.org"}) == [
        "S-0001"
    ]
    assert Supporter.objects.get().name == "Ada Moss"


def test_an_email_that_one_supporter_has_finds_them_and_the_id_is_kept(treasurer: Person) -> None:
    known = add_supporter(by=treasurer, name="Ada Moss", email="Ada@Example.org")
    assert post(treasurer, 1, {"Member No": "m1", "Mail": "ADA@example.org"}) == [known.code]
    assert post(treasurer, 2, {"Member No": "m1"}) == [known.code]


def test_an_email_that_two_supporters_share_finds_nobody(treasurer: Person) -> None:
    add_supporter(by=treasurer, name="Ada Moss", email="home@example.org")
    add_supporter(by=treasurer, name="Bo Moss", email="home@example.org")
    assert post(treasurer, 1, {"Member": "Ada Moss", "Mail": "home@example.org"}) == ["S-0003"]


def test_two_people_of_one_name_are_never_merged(treasurer: Person) -> None:
    people = [{"Member No": "m1", "Member": "Ada Moss"}, {"Member No": "m2", "Member": "Ada Moss"}]
    assert post(treasurer, 1, *people) == ["S-0001", "S-0002"]


def test_a_name_alone_is_one_supporter_within_a_file_and_not_across_files(treasurer: Person) -> None:
    assert post(treasurer, 1, {"Member": "Ada Moss"}, {"Member": "Ada Moss"}) == ["S-0001", "S-0001"]
    assert post(treasurer, 2, {"Member": "Ada Moss"}) == ["S-0002"]


def test_one_supporter_twice_in_a_file_is_one_supporter(treasurer: Person) -> None:
    twice = [{"Member No": "m1", "Mail": "a@example.org"}, {"Mail": "a@example.org"}]
    assert post(treasurer, 1, *twice) == ["S-0001", "S-0001"]
    assert Supporter.objects.get().name == "a@example.org"


def test_a_row_that_names_nobody_is_an_unnamed_gift(treasurer: Person) -> None:
    assert post(treasurer, 1, {}) == ["-"]


def test_a_file_may_hide_a_name_and_never_shows_a_hidden_one(treasurer: Person) -> None:
    post(treasurer, 1, {"Member No": "m1", "Member": "Ada Moss"})
    post(treasurer, 2, {"Member No": "m1", "Keep Private": "yes"})
    post(treasurer, 3, {"Member No": "m1", "Keep Private": "no"})
    assert Supporter.objects.get().anonymous is True
