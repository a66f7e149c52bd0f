"""The gifts' part of one of everything: what waits, what went back, what is owed, and a layout begun."""

from datetime import date

from fund.access.models import Person
from fund.gifts.actions import Charge, add_supporter, record_gift
from fund.gifts.actions_benefits import add_benefit
from fund.gifts.actions_checks import hold_check
from fund.gifts.actions_disputes import open_dispute
from fund.gifts.actions_job import begin_job
from fund.gifts.actions_loans import record_loan
from fund.gifts.actions_merge import merge_supporters
from fund.gifts.actions_payout import import_payout
from fund.gifts.actions_platforms import note_hold, write_rate
from fund.gifts.actions_pledges import record_pledge
from fund.gifts.actions_restrictions import ask_restriction_change
from fund.gifts.actions_sample import keep_sample
from fund.gifts.models import (
    Benefit,
    CashCount,
    Gift,
    GiftException,
    GiftReturn,
    HeldCheck,
    ImportJob,
    LayoutSample,
    Loan,
    PayoutFile,
    Platform,
    PlatformHold,
    Pledge,
    RestrictionChange,
    Supporter,
    SupporterMerge,
)
from fund.ledger.actions import add_purpose
from fund.money import Money
from tests.fund.gifts.files import kettle_card, kettle_file, taken
from tests.reports.month.march import Crew

AFTER = date(2026, 4, 1)


def live_gifts(crew: Crew) -> None:
    by = crew.treasurer
    wren = add_supporter(by=by, name="Wren Castell", email="wren@example.org")
    twin = add_supporter(by=by, name="Wren Castell")
    merge_supporters(by=by, kept=wren, gone=twin, reason="same handwriting")
    _transfer(by, None, nature="unidentified", terms="MOBILE DEPOSIT 4471")
    _transfer(by, wren)
    mug = add_benefit(by=by, name="Mug", value=Money(15_00), cost=Money(4_20))
    for ref in ("s1", "s2"):
        _card(by, wren, ref)
    _dispute(by, _card(by, wren, "s3"), "d3")
    record_gift(by=by, kind="transfer", received_on=AFTER, amount=Money(50_00), supporter=wren, benefit=mug)
    record_gift(
        by=by, kind="via crew", received_on=AFTER, amount=Money(30_00), supporter=wren, held_by=crew.owner
    )
    burst = [
        taken(f"burst{n}", f"2026-04-01T04:00:{n:02}", "1.00", to="", receipt_email=f"burst{n}@example.org")
        for n in range(5)
    ]
    import_payout(by=by, data=kettle_file(*burst), filename="burst.csv", layout=kettle_card())
    _hold(by, wren, "71")
    pot = add_purpose(by=by, code="heater", name="Heater of the bay", giver_words="for the heater")
    record_gift(
        by=by, kind="transfer", received_on=AFTER, amount=Money(90_00), supporter=wren, purpose="heater"
    )
    ask_restriction_change(
        by=by, kind="release", purpose=pot, words="letter of today", on=AFTER, amount=Money(90_00)
    )
    record_loan(by=by, lender=wren, amount=Money(20_00), on=AFTER, words="until May")
    record_pledge(by=by, supporter=wren, amount=Money(20_00), due_on=date(2026, 5, 1))
    write_rate(by=by, currency="CAD", on=AFTER, rate_millionths=720_000, source="the bank's page")
    note_hold(by=by, platform=Platform.objects.get(code="kettle-card"), since=AFTER, words="review")
    keep_sample(by=by, data=kettle_file(*burst), filename="unknown.csv")
    begin_job(by=by, file=PayoutFile.objects.latest("pk"))


def gift_samples() -> dict[str, dict[str, object]]:
    """What stands in the path of the pages about what is not finished."""
    unknown = Gift.objects.filter(nature="unidentified").latest("pk")
    plain = Gift.objects.filter(kind="transfer", nature="gift", benefit=None).earliest("pk")
    card = Gift.objects.get(platform_ref="s1")
    wren = Supporter.objects.get(email="wren@example.org")
    check = HeldCheck.objects.earliest("pk").code
    testing = GiftException.objects.filter(kind="card testing").earliest("pk").code
    loan, pledge = Loan.objects.earliest("pk").code, Pledge.objects.earliest("pk").code
    change = RestrictionChange.objects.earliest("pk").code
    of = {
        **dict.fromkeys(("gift-settle",), unknown.code),
        **dict.fromkeys(("gift-hold-back", "gift-correct", "benefit-owe"), plain.code),
        **dict.fromkeys(("gift-dispute", "sent-elsewhere"), card.code),
        "benefit-send": Gift.objects.exclude(benefit=None).earliest("pk").code,
        **dict.fromkeys(("check", "check-book", "check-back"), check),
        **dict.fromkeys(("exception", "exception-resolve", "testing-undo"), testing),
        **dict.fromkeys(("restriction", "restriction-decide"), change),
        **dict.fromkeys(("count-sheet", "count-void"), CashCount.objects.earliest("pk").code),
        **dict.fromkeys(("loan", "loan-repay", "loan-forgive"), loan),
        **dict.fromkeys(("pledge", "pledge-end"), pledge),
        **dict.fromkeys(("supporter-merge", "supporter-erase"), wren.code),
    }
    sample = LayoutSample.objects.earliest("pk").pk
    rows: dict[str, dict[str, object]] = {f"gifts:{name}": {"code": code} for name, code in of.items()}
    return rows | {
        "gifts:dispute-decide": {"pk": GiftReturn.objects.filter(outcome="open").earliest("pk").pk},
        "gifts:supporter-unmerge": {"pk": SupporterMerge.objects.earliest("pk").pk},
        "gifts:payout-job": {"pk": ImportJob.objects.earliest("pk").pk},
        "gifts:hold-new": {"platform": "patch-circle"},
        "gifts:hold-end": {"pk": PlatformHold.objects.earliest("pk").pk},
        **{f"gifts:{name}": {"pk": sample} for name in ("sample", "sample-reads", "sample-drop")},
    }


def grow_gifts(crew: Crew, at: int) -> None:
    """One more of each list."""
    by = crew.treasurer
    giver = add_supporter(by=by, name=f"Another giver {at}")
    _dispute(by, _card(by, giver, f"more{at}"), f"dispute{at}")
    _transfer(by, None, nature="unidentified", terms=f"DEPOSIT {at}")
    record_gift(
        by=by, kind="via crew", received_on=AFTER, amount=Money(1_00), supporter=giver, held_by=crew.owner
    )
    add_benefit(by=by, name=f"Mug {at}", value=Money(15_00), cost=Money(4_20))
    _transfer(by, giver, benefit=Benefit.objects.latest("pk"))
    _hold(by, giver, f"8{at}")
    pot = RestrictionChange.objects.earliest("pk").purpose
    ask_restriction_change(by=by, kind="release", purpose=pot, words="more", on=AFTER, amount=Money(1))
    record_loan(by=by, lender=giver, amount=Money(20_00), on=AFTER, words="until May")
    record_pledge(by=by, supporter=giver, amount=Money(20_00), due_on=date(2026, 5, 1))
    code = f"X{chr(65 + at // 26)}{chr(65 + at % 26)}"
    write_rate(by=by, currency=code, on=AFTER, rate_millionths=720_000, source="the bank's page")
    keep_sample(by=by, data=kettle_file(taken(f"k{at}", "2026-03-01", "1.00")), filename=f"{at}.csv")


def _transfer(by: Person, giver: Supporter | None, **more: object) -> Gift:
    told = {"kind": "transfer", "received_on": AFTER, "amount": Money(75_00), "supporter": giver, **more}
    return record_gift(by=by, **told)  # type: ignore[arg-type]


def _card(by: Person, giver: Supporter, ref: str) -> Gift:
    charge = Charge(Platform.objects.get(code="kettle-card"), ref)
    return record_gift(
        by=by, kind="card", received_on=AFTER, amount=Money(40_00), supporter=giver, charge=charge
    )


def _dispute(by: Person, gift: Gift, ref: str) -> None:
    open_dispute(by=by, gift=gift, on=AFTER, platform_ref=ref, fee=Money(15_00))


def _hold(by: Person, giver: Supporter, number: str) -> None:
    hold_check(
        by=by,
        supporter=giver,
        amount=Money(25_00),
        check_number=number,
        dated_on=date(2026, 5, 1),
        arrived_on=AFTER,
    )
