"""One of everything, made through the real actions, and the address of each page that shows it."""

from datetime import date

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from fund import clock
from fund.access.actions import add_person
from fund.access.models import Person
from fund.attachments.actions import store
from fund.attachments.models import Attachment
from fund.gifts.actions import add_supporter, record_gift
from fund.gifts.actions_cash import count_cash
from fund.gifts.actions_payout import import_payout, keep_file
from fund.gifts.models import CashCount, Deposit, Gift, Payout, PayoutFile, Supporter
from fund.ledger import chart
from fund.ledger.actions import add_purpose
from fund.ledger.actions_hand import post_by_hand
from fund.ledger.models import Entry
from fund.ledger.rules import cr, dr
from fund.ledger.rules_hand import HAND
from fund.letters.actions import write_gift_letter
from fund.letters.models import Letter
from fund.money import Money
from fund.receipts.actions import save_draft
from fund.receipts.actions_returns import return_to_store
from fund.receipts.actions_shelf import issue_from_shelf
from fund.receipts.actions_statement import ask_store
from fund.receipts.models import CoreDeposit, Receipt, ReceiptPortion, ShelfIssue, ShelfLot, Supplier
from fund.receipts.models_returns import Claim, StatementQuestion
from fund.repayments.actions import prepare_repayment, release_repayment
from fund.repayments.actions_advances import prepare_advance, release_advance
from fund.repayments.actions_mileage import enter_mileage
from fund.repayments.models import Advance, Mileage, Repayment
from jobs.approvals.actions import approve
from jobs.approvals.models import Approval
from jobs.eligibility.models import EligibilityDecision
from jobs.hours.actions import add_hours
from jobs.hours.models import HoursEntry, Skill
from jobs.households.models import Household
from jobs.intake.actions_draft import begin_draft
from jobs.intake.actions_same import merge_households
from jobs.intake.models import Application
from jobs.intake.models_same import Merging
from jobs.repairs.actions_findings import add_finding
from jobs.repairs.actions_steps import start_work
from jobs.repairs.models import Finding, RepairOrder
from jobs.vehicles.models import Vehicle
from reports.month.actions import publish_month
from reports.month.models import PublishedFile
from tests.fund.attachments.makers import photo
from tests.fund.gifts.files import patch_circle, patch_file, pledge, transfer
from tests.fund.receipts.makers import bought, line, paper
from tests.house.samples_after import after_samples, grow_after, live_after
from tests.house.samples_bank import bank_samples, bank_shows, live_bank
from tests.house.samples_door import door_samples, grow_door, live_door
from tests.house.samples_gifts import gift_samples, grow_gifts, live_gifts
from tests.house.samples_households import grow_households, household_samples, live_households
from tests.house.samples_look import grow_look, live_look, look_samples
from tests.house.urls import every_url
from tests.jobs.intake.public import sent_by_form
from tests.jobs.workshop import asked, part, ready
from tests.reports.month import march as story
from tests.reports.month.march import Crew

AFTER = date(2026, 4, 1)
ADVANCE_PAGES = ("advance", "advance-release", "advance-cancel")
Samples = dict[str, dict[str, object]]
# The secrets of private links: the database holds only their hashes.
LINKS: dict[str, str] = {}


def live(crew: Crew) -> None:
    """A published February, a whole March, and what waits: a draft, a bill, a file, a request, a repayment."""
    story.february(crew)
    with clock.at(date(2026, 3, 2)):
        publish_month(by=crew.owner, month="2026-02")
    orders = story.march(crew)
    with clock.at(AFTER):
        by = crew.volunteer
        bill = paper(
            by, "20.00", "0.00", line("towels", "20.00", "supplies"), number="7", tender="supplier_bill"
        )
        bought(by, bill)
        owed = bought(by, paper(by, "9.00", "0.00", line("gloves", "9.00", "supplies"), number="8"))
        prepare_repayment(papers_seen=True, by=crew.treasurer, person=by, receipts=[owed], on=AFTER)
        back = bought(by, paper(by, "6.00", "0.00", line("towels", "6.00", "supplies"), number="7b"))
        towels = ReceiptPortion.objects.get(line__receipt=back)
        return_to_store(by=by, portion=towels, quantity=1000, on=AFTER, reason="the wrong ones")
        ask_store(
            by=crew.treasurer,
            supplier=back.supplier,
            on=AFTER,
            said=Money(99_00),
            papers=Money(20_00),
            text="Find the missing 79.00.",
        )
        lot = ShelfLot.objects.filter(left_quantity__gte=1000).earliest("pk")
        issue_from_shelf(by=by, lot=lot, quantity=1000, home="supplies", on=AFTER)
        draft = save_draft(
            by=by, data=paper(by, "5.00", "0.00", line("tape", "4.00", "supplies"), number="9")
        )
        picture = SimpleUploadedFile("slip.jpg", photo())
        store(by=by, upload=picture, subject=draft.code, power="receipt.see")
        insurance = [dr(chart.ADMIN, Money(118_00)), cr(chart.BANK, Money(118_00))]
        post_by_hand(by=crew.treasurer, day=AFTER, text="Insurance of the bay", lines=insurance)
        rows = patch_file(
            pledge("ch900", "03/30/2026", "5.00", to="T9"), transfer("T9", "03/31/2026", "5.00")
        )
        letter_of_last_year(crew)
        enter_mileage(by=by, person=by, on=AFTER, tenths=370, reason="Gantry Parts and back")
        advance = prepare_advance(by=crew.treasurer, person=by, amount=Money(50_00), reason="hoses", on=AFTER)
        release_advance(by=crew.owner, advance=advance)
        keep_file(by=crew.treasurer, data=rows, filename="waiting.csv", layout=patch_circle())
        asked(crew.screener, "Somebody who waits")
        LINKS["draft"] = begin_draft(language="en", page="questions", typed={})[1]
        LINKS["sent"] = sent_by_form("Somebody who asked alone")
        merge_households(
            by=crew.screener,
            kept=asked(crew.screener, "Somebody twice").household,
            other=asked(crew.screener, "Somebody twice, again").household,
            reason="They said so",
        )
        add_finding(by=by, repair=orders["D"], text="Left rear tire at 2/32")
        live_bank(crew)
        live_gifts(crew)
        live_households(crew, AFTER)
        live_door(crew)
        live_after(crew, orders["D"])
        live_look(crew, orders["D"], AFTER)


def letter_of_last_year(crew: Crew) -> None:
    """Two gifts of 2025 that came to light late, one of them with its letter."""
    by = crew.treasurer
    giver = add_supporter(by=by, name="Osric Danvers", email="osric@post.example")
    for amount in (300_00, 40_00):
        gift = record_gift(
            by=by, kind="transfer", received_on=date(2025, 12, 30), amount=Money(amount), supporter=giver
        )
    write_gift_letter(by=by, gift=gift)


def paths() -> dict[str, str]:
    """The address of every named page whose path can be filled from what ``live`` made, by the page's name."""
    found = samples()
    made = {}
    for url in every_url():
        own = found.get(url.name) or found.get(url.name.split(":")[0], {})
        if set(url.fields) <= own.keys():
            made[url.name] = reverse(url.name, kwargs={field: own[field] for field in url.fields})
    return made


def samples() -> Samples:
    """What stands in the path: by namespace, and by page where a namespace has things of several kinds."""
    waiting = RepairOrder.objects.filter(state="approved").earliest("pk")
    household, application = Household.objects.earliest("pk"), Application.objects.latest("pk")
    count, deposit = CashCount.objects.earliest("pk"), Deposit.objects.earliest("pk")
    draft = Receipt.objects.filter(state="draft").earliest("pk")
    posted = Receipt.objects.filter(state="posted").latest("pk")
    claim = Claim.objects.earliest("pk")
    insured = ReceiptPortion.objects.filter(home="admin", line__receipt__state="posted").earliest("pk")
    person, supplier = Person.objects.get(username="tavi"), Supplier.objects.earliest("pk")
    entry = Entry.objects.filter(kind=HAND).latest("number")
    file = PublishedFile.objects.earliest("pk")
    return {
        "access": {"username": person.username},
        "gifts": {"code": Gift.objects.filter(kind="check").latest("pk").code, "name": "patch-circle"},
        "gifts:supporter": {"code": Supporter.objects.earliest("pk").code},
        "gifts:supporter-edit": {"code": Supporter.objects.earliest("pk").code},
        "gifts:payout-file": {"pk": PayoutFile.objects.latest("pk").pk},
        "gifts:payout-post": {"pk": PayoutFile.objects.latest("pk").pk},
        "gifts:payout-drop": {"pk": PayoutFile.objects.latest("pk").pk},
        "gifts:payout": {"pk": Payout.objects.earliest("pk").pk},
        "gifts:count": {"code": count.code},
        "gifts:deposit": {"code": deposit.code},
        "letters": {
            "number": Letter.objects.latest("number").number,
            "year": 2025,
            "code": Gift.objects.filter(kind="check").latest("pk").code,
        },
        "letters:write-year": {"code": Letter.objects.latest("number").supporter.code, "year": 2025},
        "receipts": {"code": draft.code, "number": supplier.pk},
        "receipts:answer": {"code": StatementQuestion.objects.latest("pk").code},
        "receipts:take-back": {"code": posted.code},
        "receipts:paid-twice": {"code": posted.code},
        "receipts:claim": {"code": claim.code},
        "receipts:settle": {"code": claim.code},
        "receipts:claim-tax": {"code": posted.code},
        "receipts:go-back": {"code": claim.receipt.code, "number": claim.part.portion_id},
        "receipts:insurer": {"code": insured.line.receipt.code, "number": insured.pk},
        "shelf:unused": {"number": ShelfIssue.objects.earliest("pk").pk},
        "shelf:box": {"code": CoreDeposit.objects.earliest("pk").code},
        "shelf:late": {"code": CoreDeposit.objects.earliest("pk").code},
        "shelf": {"code": ShelfLot.objects.earliest("pk").code},
        "shelf:core": {"code": CoreDeposit.objects.earliest("pk").code},
        "shelf:return": {"code": CoreDeposit.objects.earliest("pk").code},
        "repayments": {"code": person.username},
        "repayments:stop": {"code": Repayment.objects.latest("pk").code},
        "repayments:miles-take-back": {"code": Mileage.objects.latest("pk").code},
        **{f"repayments:{page}": {"code": Advance.objects.latest("pk").code} for page in ADVANCE_PAGES},
        "repayments:payment": {"code": Repayment.objects.latest("pk").code},
        "repayments:release": {"code": Repayment.objects.latest("pk").code},
        "repayments:cancel": {"code": Repayment.objects.latest("pk").code},
        **bank_samples(),
        **gift_samples(),
        **household_samples(),
        **door_samples(waiting.number),
        "attachments": {"code": Attachment.objects.filter(power="receipt.see").earliest("pk").code},
        "ledger": {"number": entry.number, "code": "1000"},
        "ledger:purpose": {"code": "tires"},
        "rulebook": {"name": "town"},
        "households": {"code": household.code},
        "intake": {
            "code": application.code,
            "household": household.code,
            "pk": Merging.objects.earliest("pk").pk,
        },
        "eligibility": {"code": application.code, "pk": EligibilityDecision.objects.earliest("pk").pk},
        "vehicles": {"household": household.code, "pk": Vehicle.objects.earliest("pk").pk},
        "repairs": {
            "number": waiting.number,
            "application": application.code,
            "pk": Finding.objects.earliest("pk").pk,
        },
        "estimates": {"number": waiting.number},
        "approvals": {"number": waiting.number, "pk": Approval.objects.get(repair=waiting).pk},
        "approvals:overspent": {"code": draft.code},
        "cost": {"number": RepairOrder.objects.filter(state="handed back").earliest("pk").number},
        **after_samples(),
        **look_samples(waiting),
        "hours": {"code": HoursEntry.objects.earliest("pk").code},
        "month": {"key": "2026-03", "number": waiting.number},
        "month:bundle": {"key": "2026-02"},
        "public": {"key": "2026-02", "name": file.name},
        "asking": {"secret": LINKS["sent"]},
        "asking:early": {"secret": LINKS["draft"]},
        "asking:drop": {"secret": LINKS["draft"]},
        "asking:page": {"secret": LINKS["draft"], "key": "money"},
    }


def grow(crew: Crew, rows: int, start: int = 0) -> None:
    """So many more of whatever a list shows."""
    with clock.at(AFTER):
        for at in range(start, start + rows):
            _more_money(crew, at)
            bank_shows(crew, f"more{at}", AFTER)
            grow_gifts(crew, at)
            order = ready(crew.screener, crew.volunteer, crew.owner, part(50_00), name=f"Household {at}")
            _more_work(crew, at, order)
            grow_households(crew, at, order)
            grow_door(crew, at, order)
            grow_after(crew, at, order)
        for paid in list(Receipt.objects.filter(number__startswith="own-", repayment_item=None)[::2]):
            made = prepare_repayment(
                papers_seen=True, by=crew.treasurer, person=paid.buyer, receipts=[paid], on=AFTER
            )
            release_repayment(by=crew.owner, repayment=made)


def _more_money(crew: Crew, at: int) -> None:
    by, hand = crew.treasurer, crew.volunteer
    record_gift(
        by=by,
        kind="transfer",
        received_on=AFTER,
        amount=Money(100_00),
        supporter=add_supporter(by=by, name=f"Giver {at}"),
    )
    count_cash(by=hand, second=crew.volunteer2, on=AFTER, place=f"jar {at}", denominations={100: 3})
    add_purpose(by=by, code=f"purpose-{at}", name=f"Purpose {at}", giver_words="for that")
    file = patch_file(
        pledge(f"g{at}", "03/30/2026", "5.00", to=f"G{at}"), transfer(f"G{at}", "03/31/2026", "5.00")
    )
    import_payout(by=by, data=file, filename=f"grown-{at}.csv", layout=patch_circle())
    keep_file(by=by, data=file + b"\n" * (at + 2), filename=f"kept-{at}.csv", layout=patch_circle())
    helper = add_person(
        by=crew.owner,
        username=f"helper{at}",
        first_name="Helper",
        last_name=str(at),
        password="a dozen worn wiper blades",
        roles=["volunteer"],
    )
    shelf = line("bulbs", "4.00", ("shelf", None, 2000), quantity=2000, unit="each")
    for number, place, tender in (
        ("own", "Gantry Parts", "own_money"),
        ("bill", f"Store {at}", "supplier_bill"),
    ):
        bought(hand, paper(hand, "4.00", "0.00", shelf, number=f"{number}-{at}", store=place, tender=tender))
    bought(helper, paper(helper, "4.00", "0.00", shelf, number=f"helper-{at}"))
    back = bought(hand, paper(hand, "3.00", "0.00", line("rags", "3.00", "supplies"), number=f"back-{at}"))
    rags = ReceiptPortion.objects.get(line__receipt=back)
    return_to_store(by=hand, portion=rags, quantity=1000, on=AFTER, reason="the wrong ones")
    enter_mileage(by=hand, person=hand, on=AFTER, tenths=10 + at, reason=f"drive {at}")
    advance = prepare_advance(by=by, person=hand, amount=Money(1_00), reason=f"thing {at}", on=AFTER)
    release_advance(by=crew.owner, advance=advance)
    write_gift_letter(by=by, gift=Gift.objects.get(supporter__name=f"Giver {at}"))
    grow_look(crew, helper, str(at))
    data = paper(hand, "5.00", "0.00", line("tape", "4.00", "supplies"), number=f"draft-{at}")
    save_draft(by=hand, data=data)


def _more_work(crew: Crew, at: int, order: RepairOrder) -> None:
    hand = crew.volunteer
    if at % 2:
        approve(by=crew.owner, repair=order)
        start_work(by=hand, repair=order)
        core = line("core", "10.00", ("core", order.number), taxable=False)
        bought(hand, paper(hand, "10.00", "0.00", core, number=f"core-{at}", tender="fund_card"))
        skill = Skill.objects.get(code="mechanic")
        add_hours(by=hand, repair=order, person=hand, on=AFTER, tenths=5, skill=skill)
        add_finding(by=hand, repair=order, text="Wiper torn")
    else:
        asked(crew.screener, f"Asker {at}")
