"""Receipts worth a second look, found among posted ones and answered by somebody whom they do not concern."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from fund import clock
from fund.access.models import Person
from fund.receipts.actions_cores import return_core
from fund.receipts.actions_look import answer_look
from fund.receipts.actions_takeback import take_back
from fund.receipts.models import CoreDeposit, Receipt
from fund.receipts.models_look import LookAnswer
from fund.receipts.queries_look import open_looks
from fund.receipts.rules_look_rows import Look
from fund.refusal import AlreadyDone, BadInput, NotAllowed, NotReady, TwoPeopleNeeded
from fund.rulebook.actions import set_rule
from fund.trail.models import TrailLine
from tests.fund.receipts.makers import DAY, bought, line, m, open_repair, paper

pytestmark = pytest.mark.usefixtures("bank")
ClientFor = Callable[[Person], Client]
PAGE = "/crew/receipts/second-look/"


def buy(
    buyer: Person, total: str, number: str, text: str = "hose clamps", home: str = "supplies", **more: object
) -> Receipt:
    return bought(buyer, paper(buyer, total, "0.00", line(text, total, home), number=number, **more))


def lost(by: Person, buyer: Person, total: str, on: date) -> Receipt:
    data = paper(
        buyer, total, "0.00", line("fuses", total, "supplies"), number="", on=on, missing=True, missing_how="blew away"
    )  # fmt: skip
    with clock.at(on):
        return bought(by, data)


def kinds() -> list[str]:
    return sorted(look.kind for look in open_looks())


def only() -> Look:
    (found,) = open_looks()
    return found


def test_ordinary_receipts_give_no_cause(volunteer: Person, volunteer2: Person) -> None:
    buy(volunteer, "48.71", "10231")
    buy(volunteer2, "48.72", "10233")
    buy(volunteer, "12.00", "10240", "brake cleaner")
    assert open_looks() == []


def test_numbers_that_follow_one_another_and_were_brought_by_different_people(
    volunteer: Person, volunteer2: Person
) -> None:
    one, two = buy(volunteer, "48.71", "GP-10231"), buy(volunteer2, "12.00", "gp-10232")
    found = only()
    assert (found.kind, found.codes) == ("numbers", (one.code, two.code))
    assert found.people == {volunteer.pk, volunteer2.pk}
    assert "Were they at the counter together?" in found.text


def test_a_draft_gives_no_cause_and_one_taken_back_gives_none_any_more(
    volunteer: Person, volunteer2: Person, treasurer: Person
) -> None:
    buy(volunteer, "48.71", "1")
    second = buy(volunteer2, "48.71", "8")
    assert kinds() == ["twice"]
    key = only().key
    take_back(by=treasurer, receipt=second, reason="entered for another fund")
    assert open_looks() == []
    with pytest.raises(NotReady, match="nothing to answer"):
        answer_look(by=treasurer, key=key, words="two purchases")


def test_vague_words_are_asked_unless_the_line_is_personal(volunteer: Person) -> None:
    lines = (line("Misc", "9.00", "supplies"), line("items", "3.00", "personal"))
    bought(volunteer, paper(volunteer, "12.00", "0.00", *lines))
    assert "says only “Misc” for 9.00." in only().sentence


def test_a_run_just_under_the_limit_of_its_day(volunteer: Person, owner: Person) -> None:
    set_rule(by=owner, name="owner_limit", value="100.00", valid_from=date(2026, 3, 1), reason="smaller fund")
    for at, total in enumerate(("95.00", "99.99", "100.00")):
        buy(volunteer, total, f"{at * 10}", on=DAY + timedelta(days=at))
    found = only()
    assert (
        "just under 100.00 (“Repair cost the owner may approve alone”): 95.00, 99.99, 100.00."
        in found.sentence
    )
    set_rule(by=owner, name="owner_limit", value="300.00", valid_from=date(2026, 3, 1), reason="a mistake")
    assert open_looks() == []


def test_the_treasurers_own_limit_binds_only_the_treasurer(volunteer: Person, treasurer: Person) -> None:
    for at, buyer in enumerate([volunteer] * 3 + [treasurer] * 3):
        buy(buyer, "149.00", f"{at * 10}", on=DAY + timedelta(days=at), tender="fund_card")
    assert [(look.kind, look.people) for look in open_looks()] == [("limit", frozenset({treasurer.pk}))]


def test_more_lost_papers_than_a_quarter_allows(volunteer: Person, owner: Person, treasurer: Person) -> None:
    for on in (date(2025, 12, 5), date(2025, 12, 6), date(2026, 3, 3)):
        lost(treasurer, volunteer, "20.00", on)
    found = [look for look in open_looks() if look.kind == "missing"]
    assert found[0].people == {volunteer.pk, treasurer.pk}
    with pytest.raises(TwoPeopleNeeded, match="This concerns Tavi Brandt"):
        answer_look(by=treasurer, key=found[0].key, words="the printer was out of paper")
    assert answer_look(by=owner, key=found[0].key, words="the printer was out of paper").by == owner


def test_one_card_said_to_be_the_funds_and_somebodys_own(volunteer: Person, volunteer2: Person) -> None:
    buy(volunteer, "48.71", "1", tender="fund_card", card_last4="4418")
    buy(volunteer2, "12.00", "8", card_last4="4418")
    buy(volunteer, "7.00", "20", tender="fund_card", card_last4="7702")
    assert (only().kind, only().people) == ("card", frozenset({volunteer2.pk}))


def test_old_units_past_their_day_leave_the_list_when_they_are_back(volunteer: Person, owner: Person) -> None:
    open_repair(owner, "RO-0001")
    core = line("old alternator", "55.00", ("core", "RO-0001"), taxable=False)
    bought(volunteer, paper(volunteer, "55.00", "0.00", core))
    due = CoreDeposit.objects.get().due_on
    with clock.at(due + timedelta(days=30)):
        assert open_looks() == []
    with clock.at(due + timedelta(days=31)):
        assert "1 old unit is past the day the store set, 55.00 in deposits" in only().sentence
        back = m("55.00")
        return_core(
            by=volunteer, core=CoreDeposit.objects.get(), kind="full", amount_back=back, on=clock.today()
        )
        assert open_looks() == []


def test_whom_it_concerns_does_not_answer_and_everybody_else_reads_the_answer(
    volunteer: Person, treasurer: Person, accountant: Person, owner: Person
) -> None:
    buy(treasurer, "48.71", "1", tender="fund_card")
    buy(volunteer, "48.71", "8")
    found = only()
    with pytest.raises(TwoPeopleNeeded, match="Somebody it does not concern"):
        answer_look(by=treasurer, key=found.key, words="two pumps")
    with pytest.raises(NotAllowed):
        answer_look(by=volunteer, key=found.key, words="two pumps")
    with pytest.raises(BadInput, match="Write what was found"):
        answer_look(by=owner, key=found.key, words="  ")
    assert not LookAnswer.objects.exists()
    answer = answer_look(by=accountant, key=found.key, words=" Two pumps, one each; both are in. ")
    assert (answer.text, answer.words, answer.names) == (
        found.text,
        "Two pumps, one each; both are in.",
        found.names,
    )
    assert answer.codes.split() == list(found.codes)
    assert open_looks() == []
    with pytest.raises(AlreadyDone, match="Petra Lindqvist has answered this on 2026-03-15"):
        answer_look(by=owner, key=found.key, words="again")
    assert TrailLine.objects.filter(action="receipt.second_look", by=accountant).count() == 1


def test_one_more_paper_makes_it_a_new_question_beside_the_old_answer(
    volunteer: Person, volunteer2: Person, owner: Person, client_for: ClientFor
) -> None:
    buy(volunteer, "48.71", "1")
    buy(volunteer2, "48.71", "8")
    answer_look(by=owner, key=only().key, words="one pump each")
    buy(volunteer, "48.71", "20")
    found = only()
    assert len(found.codes) == 3
    page = client_for(owner).get(f"{PAGE}{found.key}/").content.decode()
    assert "Answered before about some of them" in page
    assert "one pump each" in page


def test_an_answer_stays_as_it_was_written(volunteer: Person, owner: Person) -> None:
    buy(volunteer, "9.00", "1", "misc")
    answer = answer_look(by=owner, key=only().key, words="hose clamps")
    with pytest.raises(DatabaseError), transaction.atomic():
        LookAnswer.objects.filter(pk=answer.pk).update(words="nothing")
    with pytest.raises(DatabaseError), transaction.atomic():
        answer.delete()


def test_the_page_asks_in_a_sentence_and_takes_an_answer(
    volunteer: Person, accountant: Person, client_for: ClientFor
) -> None:
    receipt = buy(volunteer, "9.00", "1", "misc")
    client = client_for(accountant)
    page = client.get(PAGE).content.decode()
    assert "says only “misc” for 9.00." in page
    one = reverse("receipts:look", args=[only().key])
    assert one in page
    assert f'href="/crew/receipts/{receipt.code}/"' in client.get(one).content.decode()
    empty = client.post(one, {"words": ""})
    assert empty.status_code == 422
    done = client.post(one, {"words": "hose clamps, Tavi says"}, follow=True).content.decode()
    assert "No receipt is worth a second look now." in done
    answered = client.get(reverse("receipts:look-answers")).content.decode()
    assert "hose clamps, Tavi says" in answered
    assert "hose clamps, Tavi says" in client.get(one).content.decode()
    assert client.get(f"{PAGE}words-0000000000000000/").status_code == 404


def test_whom_it_concerns_sees_why_there_is_no_box_to_type_in(
    treasurer: Person, client_for: ClientFor
) -> None:
    buy(treasurer, "9.00", "1", "misc", tender="fund_card")
    client = client_for(treasurer)
    one = reverse("receipts:look", args=[only().key])
    page = client.get(one).content.decode()
    assert "This concerns you" in page
    assert "<textarea" not in page
    refused = client.post(one, {"words": "it was hoses"})
    assert refused.status_code == 422
    assert not LookAnswer.objects.exists()


def test_the_list_is_searched_sorted_and_downloaded(
    volunteer: Person, volunteer2: Person, owner: Person, client_for: ClientFor
) -> None:
    first = buy(volunteer, "9.00", "1", "misc", on=date(2026, 3, 2))
    second = buy(volunteer2, "5.00", "80", "item", on=date(2026, 3, 6))
    client = client_for(owner)

    def codes(query: str) -> list[str]:
        text = b"".join(client.get(f"{PAGE}?format=csv&{query}")).decode("utf-8-sig")
        rows = [row for row in text.splitlines()[1:] if row]
        return [code for row in rows for code in (first.code, second.code) if code in row]

    assert codes("") == [second.code, first.code]
    assert codes("sort=on") == [first.code, second.code]
    assert codes("words=jun") == [second.code]
    assert codes("words=jun+misc") == []
    assert codes("since=2026-03-03") == [second.code]
    assert codes("until=2026-03-03") == [first.code]
    assert codes("kind=twice") == []
    assert codes("kind=words&sort=amount") == [second.code, first.code]
    wrong = client.get(f"{PAGE}?since=yesterday").content.decode()
    assert "This search cannot be read." in wrong


def test_a_thousand_receipts_are_asked_for_as_often_as_three(volunteer: Person, volunteer2: Person) -> None:
    def asked() -> int:
        with CaptureQueriesContext(connection) as seen:
            open_looks()
        return len(seen)

    buy(volunteer, "9.00", "1", "misc")
    few = asked()
    for at in range(25):
        buy(volunteer2 if at % 2 else volunteer, "9.00", f"{at + 2}", "item")
    assert len(open_looks()) == 28
    assert asked() == few == 5


def test_amounts_together_are_those_of_the_papers(volunteer: Person, volunteer2: Person) -> None:
    buy(volunteer, "48.71", "1")
    buy(volunteer2, "48.71", "8")
    assert only().amount == m("97.42")
