"""What would become of every row of a payout file: the plan that the preview shows and the import carries out."""

from collections.abc import Iterator

from fund.gifts.models import Layout, Payout
from fund.gifts.payout_plan import BOOKED, NEW, REFUSED, SKIPPED, PayoutPlan, Plan, RowFate
from fund.gifts.queries_booked import (
    BookedRow,
    booked_rows,
    disputes_of,
    rates_of,
    returned_so_far,
    unnamed_by_amount,
    unnamed_refunds,
)
from fund.gifts.rules import CARD, CHARGEBACK, REFUND
from fund.gifts.rules_exchange import share_of, value_of
from fund.gifts.rules_layout import BACK_AGAIN, DISPUTE_LOST, GIFT, PAYOUT, RETURNS
from fund.gifts.rules_payout import Group, group_rows, tie_rows
from fund.gifts.rules_reading import FileReading
from fund.gifts.rules_rows import FileRow, Problem
from fund.ledger.models import Purpose
from fund.money import Money

__all__ = ["BOOKED", "NEW", "REFUSED", "SKIPPED", "PayoutPlan", "Plan", "RowFate", "plan_import"]

CENTS_OF_ROUNDING = 2


def plan_import(reading: FileReading, layout: Layout) -> Plan:
    """Hold a reading against the books. Writes nothing; every reason to refuse is in `refusals`."""
    return _Planner(reading, layout).plan()


class _Planner:
    def __init__(self, reading: FileReading, layout: Layout) -> None:
        self.reading, self.platform = reading, layout.platform
        self.payout_column = layout.columns.get("payout", "")
        refs = {row.ref for row in reading.rows} | {row.gift_ref for row in reading.rows if row.gift_ref}
        self.booked = booked_rows(self.platform, sorted(refs))
        self.file_gifts = {row.ref: row for row in reading.rows if row.kind == GIFT}
        self.result = Plan(self.platform, reading.sha256)
        self.result.restricted = dict(Purpose.objects.values_list("code", "restricted"))
        self.result.declines = reading.declines
        self.rates = rates_of({row.currency for row in reading.rows if row.currency})
        self.valued: dict[str, FileRow] = {}
        self.decides: set[str] = set()
        self.guessed: set[str] = set()
        self.by_amount: dict[Money, list[BookedRow]] = {}
        self.problems: list[Problem] = list(reading.problems)
        self.refused: dict[int, str] = {}

    def plan(self) -> Plan:
        grouping = group_rows(self.reading.rows, self.payout_column)
        self.problems += grouping.problems
        settled = self._settle_all()
        self._check_returns(settled)
        known = {
            payout.ref: payout
            for payout in self.platform.payouts.filter(ref__in=[group.ref for group in grouping.groups])
        }
        for group in grouping.groups:
            rows = [settled[row.row] for row in group.rows if row.row in settled]
            self._plan_payout(group, rows, known.get(group.ref))
        self.result.new_rows = [row for row in settled.values() if row.ref not in self.booked]
        for problem in self.problems:
            self.refused.setdefault(problem.row, problem.reason)
        self.result.refusals = [problem.sentence for problem in sorted(self.problems)] + self.result.refusals
        self.result.already = sum(row.ref in self.booked for row in settled.values()) + len(known)
        self.result.partial = bool(self.problems)
        self.result.tell = lambda: self._fates(known)
        return self.result

    def _settle_all(self) -> dict[int, FileRow]:
        """Every row that moved money with purpose and value settled: gifts first, since what goes back points at them."""
        refunds = [row for row in self.reading.rows if row.kind == REFUND]
        self.adopt = unnamed_refunds(self.platform, refunds)
        if any(self._names_no_gift(row) and row.ref not in self.booked for row in refunds):
            self.by_amount = unnamed_by_amount(self.platform, {row.gift_ref for row in refunds})
        self.disputes = {row.gift_ref: row.ref for row in self.reading.rows if row.kind == CHARGEBACK}
        self.disputes |= disputes_of(
            self.platform, [row.gift_ref for row in self.reading.rows if row.kind == DISPUTE_LOST]
        )
        moved = [row for row in self.reading.rows if row.kind != PAYOUT]
        for row in moved:
            if row.kind == GIFT:
                self.valued[row.ref] = self._settle(row)
        settled = {}
        for row in moved:
            if row.kind == DISPUTE_LOST and row.ref not in self.booked and self._only_decides(row):
                continue
            settled[row.row] = self.valued[row.ref] if row.kind == GIFT else self._settle(row)
        return settled

    def _names_no_gift(self, row: FileRow) -> bool:
        return row.gift_ref not in self.booked and row.gift_ref not in self.file_gifts

    def _by_hand(self, row: FileRow) -> BookedRow | None:
        """The refund that a row tells of, if it was booked by hand without the platform's id: by its gift, else by its amount.

        Each such refund is one row of some file, so a row that names no gift is taken for the oldest of the same amount:
        booked as another one, the money would go back twice.
        """
        if row.gift_ref in self.adopt:
            return self.adopt.pop(row.gift_ref)
        same = self.by_amount.get(row.amount) if self._names_no_gift(row) else None
        if not same:
            return None
        self.guessed.add(row.ref)
        return same.pop()

    def _only_decides(self, row: FileRow) -> bool:
        """A dispute that is known already and lost now: the money is gone since then, so nothing moves."""
        if not row.gift_ref or self.disputes.get(row.gift_ref, row.ref) == row.ref:
            return False
        self.result.lost[row.gift_ref] = row.on
        self.decides.add(row.ref)
        return True

    def _settle(self, row: FileRow) -> FileRow:
        """The row with purpose and value settled; a problem when the books hold something else under its id."""
        before = self.booked.get(row.ref)
        if before is None and row.kind == REFUND and (before := self._by_hand(row)):
            self.booked[row.ref] = before
            self.result.adopted[row.ref] = before.pk
        if before is not None:
            kind = CHARGEBACK if row.kind == DISPUTE_LOST else row.kind
            if (before.kind, before.moved, before.fees) != (kind, row.amount, row.fees):
                self._problem(
                    row,
                    f"{row.ref} is already booked as a {before.kind} of {before.moved} with fees {before.fees}; "
                    f"the file says {row.kind} of {row.amount} with fees {row.fees}. A past row never changes.",
                )
            return row._replace(
                amount=before.amount, exchange=before.exchange, purpose=before.purpose or row.purpose
            )
        if row.purpose not in self.result.restricted:
            self._problem(
                row, f"the purpose “{row.purpose}” is not in the books. Add it in the giver's words first."
            )
        if row.kind == GIFT:
            return self._value(row) if row.currency else row
        if (row.kind not in RETURNS and row.kind not in BACK_AGAIN) or not row.gift_ref:
            return row
        return self._of_gift(row)

    def _of_gift(self, row: FileRow) -> FileRow:
        """What went back, or came back again, with the purpose of its gift and at what that was worth when given."""
        here = self.valued.get(row.gift_ref)
        if here is not None and row.gift_ref not in self.booked:
            return self._valued_as(row, here.amount, here.foreign)._replace(purpose=here.purpose)
        gift = self.booked.get(row.gift_ref)
        if gift is None or gift.kind != GIFT:
            return row
        self.result.returned_gifts[row.ref] = gift
        return self._valued_as(row, gift.amount, gift.foreign)._replace(purpose=gift.purpose)

    def _value(self, row: FileRow) -> FileRow:
        """A foreign gift at the rate of its day; what the platform made of it is the exchange difference."""
        rate = row.rate or self.rates.get(row.currency, row.on)
        if not row.foreign or not rate:
            lacks = "the rate" if row.foreign else "the amount"
            where = "Write the rate of that day under Rates" if row.foreign else "The file must tell it"
            self._problem(
                row, f"{lacks} of {row.currency} on {row.on} is not known. {where}, then try again."
            )
            return row
        value = value_of(row.foreign, rate)
        return row._replace(amount=value, rate=rate, exchange=value - row.amount)

    def _valued_as(self, row: FileRow, value: Money, foreign: Money) -> FileRow:
        if not foreign:
            return row
        part = row.foreign or foreign
        if part > foreign:
            self._problem(
                row, f"{part} {row.currency} would go back of a gift of {foreign} ({row.gift_ref})."
            )
            return row
        worth = share_of(value, part, foreign)
        lost = worth - row.amount if row.kind in BACK_AGAIN else row.amount - worth
        return row._replace(amount=worth, exchange=lost)

    def _check_returns(self, settled: dict[int, FileRow]) -> None:
        """No gift goes back for more than was given, and nothing comes back again that had not gone."""
        kinds = (*RETURNS, *BACK_AGAIN)
        fresh = [row for row in settled.values() if row.kind in kinds and row.ref not in self.booked]
        gone: dict[str, int] = returned_so_far([gift.pk for gift in self.result.returned_gifts.values()])
        for row in sorted(fresh, key=lambda row: (row.on, row.row)):
            gift = self.result.returned_gifts.get(row.ref)
            given = gift.amount if gift else None
            if gift is None and row.gift_ref in self.valued:
                given = self.valued[row.gift_ref].amount
            if given is None:
                continue
            key = str(gift.pk) if gift else row.gift_ref
            gone[key] = gone.get(key, 0) + (-row.amount.minor if row.kind in BACK_AGAIN else row.amount.minor)
            over = gone[key] - given.minor
            if row.foreign and 0 < over <= CENTS_OF_ROUNDING:
                # Parts of a foreign gift are rounded one by one; the last takes what is left.
                less = Money(over)
                settled[row.row] = row._replace(amount=row.amount - less, exchange=row.exchange + less)
                gone[key] = given.minor
            if gone[key] > given.minor:
                self._problem(row, f"{Money(gone[key])} would go back of a gift of {given} ({row.gift_ref}).")
            elif gone[key] < 0:
                self._problem(
                    row, f"{row.amount} would come back again, more than had gone back ({row.gift_ref})."
                )

    def _plan_payout(self, group: Group, rows: list[FileRow], booked: Payout | None) -> None:
        mine = booked.pk if booked else None
        # Rows paid out with an earlier payout belong to that one, though an overlapping export repeats them here.
        own = [row for row in rows if row.ref not in self.booked or self.booked[row.ref].payout == mine]
        held = [row for row in own if row.ref in self.booked] if mine is None else []
        tie = tie_rows(own, group.stated, own_fees_are_processing=self.platform.kind == CARD)
        plan = PayoutPlan(group, tie, own, held, booked)
        self.result.payouts.append(plan)
        if booked is not None:
            extra = [
                row.row for row in rows if row.ref not in self.booked or self.booked[row.ref].payout is None
            ]
            if extra:
                which = ", ".join(str(number) for number in extra[:10])
                self._refuse(
                    group,
                    f"Payout {group.ref} is already booked as {booked.net} and cannot grow, but the file adds "
                    f"rows to it: {which}. Ask the platform which payout they belong to.",
                )
            elif group.stated != booked.net:
                self._refuse(
                    group,
                    f"Payout {group.ref} is already booked as {booked.net}; the file says {group.stated}.",
                )
        elif tie.difference and not self.problems:  # a row left out would be called a difference
            self._refuse(group, tie.sentence(group.ref))

    def _problem(self, row: FileRow, reason: str) -> None:
        self.problems.append(Problem(row.row, "", reason))

    def _refuse(self, group: Group, sentence: str) -> None:
        self.refused[group.row] = sentence
        self.result.refusals.append(sentence)

    def _fates(self, known: dict[str, Payout]) -> Iterator[RowFate]:
        seen = set()
        for row in self.reading.rows:
            seen.add(row.row)
            there = row.payout in known if row.kind == PAYOUT else row.ref in self.booked
            fate = REFUSED if row.row in self.refused else BOOKED if there else NEW
            why = self.refused.get(row.row, "")
            if row.ref in self.decides:
                fate, why = SKIPPED, "the dispute is decided; the money had gone before"
            if fate == NEW and row.kind != PAYOUT and self.payout_column and not row.payout:
                why = "not paid out yet; it waits in clearing"
            if row.ref in self.guessed and not why:
                why = "names no gift; taken for the refund of that amount that was booked by hand"
            who = row.name or row.email or row.supporter_id
            purpose = row.purpose if row.kind == GIFT or row.kind in RETURNS else ""
            yield RowFate(row.row, fate, why, row.kind, row.ref, row.on, who, row.amount, row.fees, purpose)
        for number, reason in self.refused.items():
            if number not in seen:
                yield RowFate(number, REFUSED, reason)
        for number, reason in self.reading.skipped:
            yield RowFate(number, SKIPPED, reason)
