"""Everything a database holds, as text to search in; and a household whose every value is marked."""

from dataclasses import replace
from datetime import date

from django.db import connection

from fund.access.models import Person
from fund.money import Money
from jobs.eligibility.actions import decide, sight
from jobs.eligibility.actions_second import appeal
from jobs.eligibility.letters import send_letter
from jobs.households.actions import change_contact, enter_household, replace_incomes
from jobs.households.actions_consent import change_consent
from jobs.households.actions_keep import set_hold
from jobs.households.rules import IncomeFacts, MemberFacts
from jobs.intake.actions import answer_relation, open_application
from jobs.intake.models import Application
from jobs.intake.rules import CONSENTS, QUESTIONS, Asking
from jobs.vehicles.actions import add_vehicle
from tests.jobs.workshop import OWN_FOR_YEARS

# Each can be nothing but itself: no part of a word, a number or a token by chance.
MARKS = {
    "name": "Quibblewort",
    "child": "Zephanoria",
    "phone": "212-555-0173",
    "e-mail": "quibble.wort@example.org",
    "street": "Thistledown Parade",
    "income": "1733.91",
    "stub": "666.17",
    "income note": "gristmill-night-shift",
    "rent story": "grandmother-Olwen-pays",
    "paper note": "smudged-corner-stub",
    "VIN": "1M8GDM9AXKP042788",
    "plate": "QWZ-7743",
    "vehicle note": "keys-with-uncle-Bevis",
    "decision words": "considered-her-divorce",
    "tie words": "my-godmother-Hesper",
    "appeal words": "count-Rowena-please",
    "hold words": "dispute-with-landlord-Grubb",
    "consent words": "rang-on-Candlemas",
}
BORN = date(1961, 11, 23)


def marked(screener: Person, other: Person, decided: bool = True) -> Application:
    """A household that asked, was declined and asks for a second look, with a mark in every place one can write in."""
    asking = Asking(
        name=f"Hilda {MARKS['name']}",
        phone=MARKS["phone"],
        email=MARKS["e-mail"],
        address=f"77 {MARKS['street']}, Larkwater",
        complaint="Grinds when I brake.",
        vehicle_class="sedan",
        consents=dict.fromkeys(CONSENTS, True),
        answers=dict.fromkeys(QUESTIONS, "yes"),
    )
    people = [
        MemberFacts(name=f"Hilda {MARKS['name']}", relation="applicant", adult=True, birth_date=BORN),
        MemberFacts(name=MARKS["child"], relation="child"),
    ]
    household = enter_household(
        by=screener,
        name=asking.name,
        members=people,
        phone=asking.phone,
        email=asking.email,
        address=asking.address,
    )
    application = open_application(by=screener, asking=asking, household=household)
    incomes = [
        IncomeFacts(kind="pay", period="monthly", amount=Money(1733_91), note=MARKS["income note"]),
        IncomeFacts(kind="pay", period="two weeks", amount=Money(0), stubs=(Money(666_17), Money(666_19))),
    ]
    replace_incomes(by=screener, household=household, incomes=incomes, no_income_words=MARKS["rent story"])
    change_contact(by=screener, household=household, program="food benefits")
    sight(
        by=screener,
        household=household,
        kind="pay stub",
        document_date=date(2026, 3, 10),
        note=MARKS["paper note"],
    )
    add_vehicle(
        by=screener,
        household=household,
        year=2009,
        vehicle_class="sedan",
        vin=MARKS["VIN"],
        plate=MARKS["plate"],
        note=MARKS["vehicle note"],
        standing=replace(OWN_FOR_YEARS, title="household"),
    )
    change_consent(
        by=screener, application=application, key="story", given=False, words=MARKS["consent words"]
    )
    if decided:
        answer_relation(by=screener, application=application, tie=False)
        decision = decide(
            by=screener,
            application=application,
            verdict="not eligible",
            reasons=["not our kind of work"],
            words=MARKS["decision words"],
        )
        send_letter(by=screener, decision=decision)
        answer_relation(by=other, application=application, tie=True, words=MARKS["tie words"])
        appeal(by=screener, application=application, words=MARKS["appeal words"])
    set_hold(by=screener, household=household, reason=MARKS["hold words"])
    application.refresh_from_db()
    return application


def everything_stored() -> str:
    """Every value of every row of every table, as the database holds it."""
    parts = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f'SELECT * FROM "{table}"')
            parts.append("\n".join(str([_shown(value) for value in row]) for row in cursor.fetchall()))
    return "\n".join(parts)


def _shown(value: object) -> object:
    return bytes(value).decode("latin-1") if isinstance(value, (bytes, memoryview)) else value


def marks_in(text: str) -> list[str]:
    """Which marks a text holds, whatever the capitals, with or without the signs between digits and letters."""
    low = text.lower()
    bare = "".join(sign for sign in low if sign.isalnum())
    found = []
    for kind, mark in MARKS.items():
        stripped = "".join(sign for sign in mark.lower() if sign.isalnum())
        if mark.lower() in low or (kind not in ("income", "stub") and stripped in bare):
            found.append(kind)
    return found
