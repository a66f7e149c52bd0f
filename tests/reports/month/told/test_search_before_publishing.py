"""Words for the public are searched for a household however its name and street were written, on either side."""

import pytest

from fund import clock
from fund.access.models import Person
from fund.refusal import NotReady
from jobs.households.actions import enter_household
from jobs.households.rules import MemberFacts
from jobs.repairs.models import RepairOrder
from reports.month.actions import publish_month, word_repair
from reports.month.queries_jobs import private_values
from tests.reports.month.lived import AFTER
from tests.reports.month.march import Crew


def known(by: Person, address: str) -> None:
    with clock.at(AFTER):
        people = [MemberFacts(name="Rosa Núñez", relation="applicant", adult=True)]
        enter_household(by=by, name="Rosa Núñez", members=people, address=address)


@pytest.mark.parametrize(
    ("words", "kind"),
    [
        ("Mrs. Nunez says it grinds", "a name"),
        ("NUÑEZ: it grinds", "a name"),
        ("Broke down on Marble Fox Lane", "a street"),
        ("Broke down on marble fox ln.", "a street"),
        ("Broke down on Marble Fox", "a street"),
    ],
)
@pytest.mark.parametrize(
    "address",
    [
        "1847 Marble Fox Lane Larkwater",
        "Marble Fox Lane 1847, Larkwater",
        "Apt 4, 1847 Marble Fox Ln, Larkwater",
        "Larkwater\n1847 N Marble Fox Lane",
    ],
)
def test_a_name_or_street_is_found_however_it_was_written(
    closed: dict[str, RepairOrder], crew: Crew, address: str, words: str, kind: str
) -> None:
    known(crew.screener, address)
    with clock.at(AFTER), pytest.raises(NotReady) as refused:
        word_repair(by=crew.treasurer, repair=closed["A"].number, text=words)
    assert [line.split(" of household")[0].split(" holds ")[1] for line in refused.value.details] == [kind]


def test_the_shops_own_words_stop_publishing_too(closed: dict[str, RepairOrder], crew: Crew) -> None:
    known(crew.screener, "1847 Marble Fox Lane Larkwater")
    RepairOrder.objects.filter(pk=closed["A"].pk).update(complaint="Nunez, towed from Marble Fox Ln")
    with clock.at(AFTER), pytest.raises(NotReady) as refused:
        publish_month(by=crew.owner, month="2026-03")
    assert len(refused.value.details) >= 2


def test_a_street_read_from_its_address_leaves_the_town_alone(
    closed: dict[str, RepairOrder], crew: Crew
) -> None:
    known(crew.screener, "1847 Marble Fox Lane, Larkwater")
    assert any("1847 Marble Fox Lane, Larkwater" in house.streets for house in private_values())
    with clock.at(AFTER):
        word_repair(by=crew.treasurer, repair=closed["A"].number, text="Towed to Larkwater in the lane.")
