"""The fund's own written rules: what each is called, means and starts as. Amounts are typed as people write them."""

from dataclasses import dataclass
from typing import Any

from fund.money import Money, parse_money
from fund.refusal import BadInput


@dataclass(frozen=True, slots=True)
class Rule:
    """``kind`` is text, number (whole), money, yesno or choice (one of ``choices``); ``start`` is the text of the value
    a new fund begins with, ``empty`` what is meant by typing nothing (without it a value is needed), ``note`` what whoever
    changes it should know."""

    name: str
    kind: str
    start: str
    words: str
    low: int = 0
    high: int = 10**9
    choices: tuple[str, ...] = ()
    empty: str = ""
    note: str = ""

    def read(self, text: str) -> Any:
        """The typed value of a text. Refuses what does not fit the kind."""
        text = text.strip() or self.empty
        if self.kind == "text":
            if not text:
                raise BadInput(f"“{self.words}” cannot be empty.")
            return text
        if self.kind == "money":
            amount = parse_money(text)
            if amount < Money.zero:
                raise BadInput(f"“{self.words}” cannot be below zero.")
            return amount
        if self.kind == "yesno":
            if text.lower() not in ("yes", "no"):
                raise BadInput(f"“{self.words}” is yes or no.")
            return text.lower() == "yes"
        if self.kind == "choice":
            if text not in self.choices:
                raise BadInput(f"“{self.words}” is one of: {'; '.join(self.choices)}.")
            return text
        if not (text.isascii() and text.isdecimal()) or not self.low <= int(text) <= self.high:
            raise BadInput(f"“{self.words}” is a whole number from {self.low} to {self.high}.")
        return int(text)


_MONEY = (
    Rule("fund_name", "text", "Repair fund", "Name of the fund"),
    Rule("town", "text", "our town", "Town the fund works in"),
    Rule("gifts_deductible", "yesno", "no", "Gifts are tax-deductible for supporters"),
    Rule(
        "guideline_percent",
        "number",
        "200",
        "Income line, in percent of the federal poverty guideline",
        50,
        400,
    ),
    Rule(
        "decision_days",
        "number",
        "90",
        "Days an eligibility decision stays valid, and papers asked for are waited for",
        1,
        730,
    ),
    Rule("reserve_floor", "money", "1000.00", "Reserve the owner keeps back"),
    Rule("owner_limit", "money", "750.00", "Repair cost the owner may approve alone"),
    Rule("approval_days", "number", "30", "Days an approval stays valid before anything is bought", 1, 365),
    Rule("core_days", "number", "30", "Days to bring a core back", 1, 400),
    Rule("tax_id", "text", "none yet", "Tax number of the fund, for letters"),
    Rule("receipts_days", "number", "60", "Days to hand in a receipt for repayment", 1, 365),
    Rule("repay_days", "number", "14", "Days until a claim of the crew is paid", 1, 90),
    Rule("advance_days", "number", "120", "Days until an advance is spent or returned", 1, 365),
    Rule("check_days", "number", "120", "Days after which a check not cashed is asked about", 1, 365),
    Rule(
        "dispute_watch_days", "number", "60", "Days that a large first gift is not promised to anyone", 0, 180
    ),
    Rule("clearing_days", "number", "10", "Days until a check or transfer counts as cleared", 1, 60),
    Rule("skilled_hours_posted", "yesno", "no", "Skilled hours are posted as gift in kind and equal cost"),
    Rule(
        "road_test_factor_tenths",
        "number",
        "15",
        "Road test of an intermittent fault, in tenths of the owner's time",
        10,
        50,
    ),
)
# How far a bill may pass its approval; what each shape means stands in jobs/estimates/rules.py.
TOLERANCES = (
    "none",
    "percent",
    "dollars",
    "lesser of both",
    "greater of both",
    "percent, capped",
    "greater of both, capped",
)
_APPROVALS = (
    Rule(
        "tolerance_shape",
        "choice",
        "lesser of both",
        "Tolerance over an approved estimate: how it is found",
        choices=TOLERANCES,
    ),
    Rule("tolerance_percent", "number", "10", "Tolerance over an approved estimate, in percent", 0, 100),
    Rule("tolerance_dollars", "money", "50.00", "Tolerance over an approved estimate, in dollars"),
    Rule(
        "tolerance_cap", "money", "50.00", "Tolerance over an approved estimate, at most where it is capped"
    ),
    Rule(
        "delegate_limit",
        "money",
        "150.00",
        "Repair cost the treasurer may approve when no owner can be reached",
    ),
    Rule(
        "free_share_percent",
        "number",
        "25",
        "Share of what is free that one person may approve, in percent",
        0,
        100,
        empty="0",
        note="A quarter is common practice. 0 or nothing: no such limit.",
    ),
    Rule(
        "consumables_limit",
        "money",
        "50.00",
        "Fluids and small supplies the mechanic may take before a decision, for one repair",
        empty="0",
        note="50.00 for one repair in all is common practice. 0 or nothing: none.",
    ),
    Rule(
        "stale_days",
        "number",
        "60",
        "Days without a purchase after which a promise is looked at again",
        1,
        730,
    ),
)
# How pay becomes a month's income; the factors and their sources stand in jobs/eligibility/rules_methods.py.
METHODS = ("exact", "4.3 and 2.15", "4.333 and 2.167", "4.333 and 2.166")
ROUNDINGS = ("none", "to the cent", "to the dollar", "cents dropped")
DEFINITIONS = ("everyone at the address", "people who share money")
_COUNTER = (
    Rule("missing_each", "money", "25.00", "Purchase without its receipt: most for each"),
    Rule(
        "missing_quarter",
        "number",
        "2",
        "Purchases without receipt that one person may have in a quarter",
        0,
        50,
    ),
    Rule("missing_never", "money", "75.00", "Purchase without its receipt: refused above"),
)
_HOUSEHOLDS = (
    Rule("income_line", "text", "poverty guideline", "Published table that the income line is a percent of"),
    Rule("income_method", "choice", "exact", "How weekly pay becomes a month's income", choices=METHODS),
    Rule("income_rounding", "choice", "none", "Rounding of a month's income", choices=ROUNDINGS),
    Rule("categorical", "yesno", "yes", "Being on a means-tested program proves the income"),
    Rule(
        "household_definition",
        "choice",
        "everyone at the address",
        "Who counts as household",
        choices=DEFINITIONS,
    ),
    Rule("papers_days", "number", "60", "Days that a paper may be old at the decision", 1, 730),
    Rule("period_months", "number", "12", "Months over which repairs of a household are counted", 1, 120),
    Rule("period_repairs", "number", "1", "Repairs a household may have in that time", 1, 50),
    Rule("household_cap", "money", "1500.00", "Cost of a household's repairs in that time, at most"),
    Rule(
        "value_percent",
        "number",
        "100",
        "Cost of a repair, at most in percent of the vehicle's value",
        1,
        1000,
    ),
    Rule("registered_months", "number", "6", "Months a vehicle must be registered to the household", 0, 120),
    Rule("consent_months", "number", "24", "Months that a yes to story and photos lasts", 1, 240),
    Rule("copy_days", "number", "90", "Days that a copy of a paper is kept", 1, 2555),
    Rule("keep_income_months", "number", "24", "Months that incomes are kept after the help", 1, 120),
    Rule(
        "keep_helped_years",
        "number",
        "7",
        "Years that the file of a household is kept after the last help",
        1,
        50,
    ),
    Rule("keep_declined_months", "number", "24", "Months that requests without help are kept", 1, 120),
)
# The order of waiting (jobs/intake/rules_order.py): whole points.
_WAITING = (
    Rule("wait_safety", "number", "100", "Waiting: points of a vehicle that is not safe to drive", 0, 10_000),
    Rule("wait_need", "number", "30", "Waiting: points for each of two levels of need", 0, 10_000),
    Rule(
        "wait_dependence", "number", "20", "Waiting: points for each of two levels of dependence", 0, 10_000
    ),
    Rule("wait_day", "number", "1", "Waiting: points for each day since they asked", 0, 1_000),
    Rule("draft_days", "number", "30", "Days that a request which was begun but not sent is kept", 1, 365),
)
_DOOR = (
    Rule("check_in_photos", "number", "4", "Photos of a vehicle at check-in, at least", 1, 40),
    Rule(
        "clock_factor_tenths",
        "number",
        "15",
        "Hours by the clock above which the mechanic is asked why, in tenths of the book hours (common practice)",
        10,
        100,
    ),
    Rule(
        "unfetched_days", "number", "30", "Days after which an owner who does not come is written to", 1, 365
    ),
)
RULES: dict[str, Rule] = {
    rule.name: rule for rule in (*_MONEY, *_APPROVALS, *_COUNTER, *_HOUSEHOLDS, *_WAITING, *_DOOR)
}
