"""Forms of supporters and of gifts by hand."""

from typing import Any

from django import forms

from fund.forms import BookForm, DayField, MoneyFormField, OnceForm
from fund.gifts.fields import WHO, CrewField, SupportersField
from fund.gifts.models import Benefit, Supporter
from fund.gifts.queries import find_supporter
from fund.gifts.rules import CASH, CHECK, GOODS, LARGE, SUPPORTER_KINDS, TRANSFER, VIA_CREW
from fund.gifts.rules_terms import GIFT, NATURES, UNNAMED
from fund.ledger import chart
from fund.ledger.models import CostObject, Purpose
from fund.receipts.fields import QuantityField
from fund.receipts.quantities import UNITS

BY_HAND = {
    CHECK: "Check",
    TRANSFER: "Bank transfer",
    CASH: "Cash, with a receipt from the book",
    GOODS: "Goods",
    VIA_CREW: "Transfer to a crew member's own account",
}
GOODS_PLACES = {
    chart.SUPPLIES: "Shop supplies",
    chart.TOOLS: "Small tools",
    chart.SHELF: "The parts shelf",
}


RARE = {
    "terms": ("nature", "terms", "repair"),
    "late": ("arrived_on", "payable_to", "endorsed", "copy"),
    "more": ("held_by", "kept_fee", "credited", "benefit"),
}


class SupporterForm(OnceForm):
    name = forms.CharField(label="Name", max_length=120)
    kind = forms.ChoiceField(
        label="Kind", choices=[(key, words.capitalize()) for key, words in SUPPORTER_KINDS.items()]
    )
    email = forms.EmailField(label="E-mail", required=False)
    address = forms.CharField(
        label="Postal address", required=False, widget=forms.Textarea(attrs={"rows": 3}), max_length=500
    )
    anonymous = forms.BooleanField(
        label="Wants no name in public",
        required=False,
        help_text="Left out of everything that is published. The books always know the name.",
    )
    note = forms.CharField(label="Note", required=False, max_length=300)


class GiftForm(OnceForm):
    """One gift by hand. `supporter` is found by code, e-mail or whole name, or written down new."""

    kind = forms.ChoiceField(label="Given by", choices=list(BY_HAND.items()))
    supporter = forms.CharField(
        label="Supporter",
        max_length=254,
        required=False,
        help_text=f"{WHO} Empty only for a deposit from nobody known, a household's share or a tip.",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    new_supporter = forms.BooleanField(label="Someone new: write them down under this name", required=False)
    amount = MoneyFormField(
        label="Amount",
        help_text="For goods: what they are fairly worth today; 0.00 for a used part worth nothing.",
    )
    large = forms.BooleanField(label=f"This amount above {LARGE} is right", required=False)
    received_on = DayField(
        label="Date of the gift",
        help_text="The postmark of a mailed check, the day of a transfer, the day cash or goods were handed over.",
    )
    purpose = forms.ModelChoiceField(
        label="Purpose",
        queryset=Purpose.objects.all(),
        empty_label=None,
        help_text="Anything but General only if the giver said so in words.",
    )
    check_number = forms.CharField(
        label="Check number", required=False, max_length=30, widget=forms.TextInput(attrs={"class": "short"})
    )
    arrived_on = DayField(
        label="Day the mail was opened", required=False, help_text="If it came later than its postmark."
    )
    payable_to = CrewField(label="Made out to a crew member", required=False)
    endorsed = forms.BooleanField(label="Endorsed over to the fund, both sides copied", required=False)
    copy = forms.FileField(
        label="Copy of both sides", required=False, help_text="Photo or PDF; kept with the gift."
    )
    nature = forms.ChoiceField(
        label="What it is",
        choices=[(key, text.capitalize()) for key, text in NATURES.items()],
        initial=GIFT,
        required=False,
    )
    terms = forms.CharField(
        label="In their words",
        required=False,
        max_length=300,
        help_text="The condition; for whom it is meant; what the bank line says; the household's alias; who handed in a tip.",
    )
    repair = forms.ModelChoiceField(
        label="Repair that a household pays a share of",
        queryset=CostObject.objects.order_by("-code"),
        required=False,
        empty_label="none",
    )
    held_by = CrewField(label="Whose own account", required=False)
    kept_fee = MoneyFormField(
        label="Charge kept by the sender's service",
        required=False,
        help_text="Of an employer's match, say: the amount above is whole, with this charge in it.",
    )
    credited = SupportersField(
        label="Workers to thank for a match",
        required=False,
        help_text="Codes divided by commas. The gift stays the employer's.",
    )
    benefit = forms.ModelChoiceField(
        label="Owed in return", queryset=Benefit.objects.all(), required=False, empty_label="nothing"
    )
    goods_account = forms.ChoiceField(
        label="Goods go to", choices=[("", ""), *GOODS_PLACES.items()], required=False
    )
    item = forms.CharField(label="Name of the part on the shelf", required=False, max_length=80)
    quantity = QuantityField(label="How many", required=False)
    unit = forms.ChoiceField(
        label="Unit", choices=[(key, many) for key, (_, many) in UNITS.items()], required=False
    )
    note = forms.CharField(
        label="Note",
        required=False,
        max_length=300,
        help_text="For goods: what was given, as the letter will describe it.",
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        amount = cleaned.get("amount")
        if amount and amount > LARGE and not cleaned.get("large"):
            self.add_error("large", f"{amount} is a great deal. If it is right, tick this and book it.")
        cleaned["nature"] = cleaned.get("nature") or GIFT
        text = cleaned.get("supporter")
        cleaned["found"] = None
        if not text and "supporter" not in self.errors and cleaned.get("nature") not in UNNAMED:
            self.add_error(
                "supporter", "Say who gave it. Someone who wants no name in public can be marked so."
            )
        if text:
            cleaned["found"] = self._supporter(text, cleaned.get("new_supporter", False))
        if cleaned.get("kind") == GOODS and cleaned.get("goods_account") == chart.SHELF:
            for name in ("item", "quantity"):
                if not cleaned.get(name) and name not in self.errors:
                    self.add_error(name, "The shelf needs to know this of a part.")
        return cleaned

    def opened(self) -> set[str]:
        """The rarer parts that something was typed into, so that nothing typed is hidden."""
        return {part for part, names in RARE.items() if any(self._told(name) for name in names)}

    def asks_large(self) -> bool:
        """Whether the amount is to be confirmed, so that the box stands there only then."""
        return "large" in self.errors or bool(self.is_bound and self.data.get("large"))

    def _told(self, name: str) -> bool:
        if name in self.errors:
            return True
        value = self.data.get(name) if self.is_bound else self.initial.get(name)
        return bool(value) and not (name == "nature" and value == GIFT)

    def _supporter(self, text: str, new: bool) -> Supporter | None:
        found = [] if new else find_supporter(text)
        if len(found) == 1 or new:
            return found[0] if found else None
        if not found:
            self.add_error(
                "supporter", f"Nobody is written down as “{text}”. If it is someone new, tick the box below."
            )
        else:
            codes = ", ".join(str(supporter) for supporter in found)
            self.add_error("supporter", f"Several supporters fit: {codes}. Write the code.")
        return None


class RefundForm(BookForm):
    on = DayField(label="Day of the refund")
    platform_ref = forms.CharField(
        label="The platform's id of the refund",
        required=False,
        max_length=80,
        help_text="So that its payout file finds the refund booked.",
    )
    reason = forms.CharField(label="Why it goes back", max_length=300)


class ReturnedCheckForm(BookForm):
    on = DayField(label="Day the bank returned it")
    bank_fee = MoneyFormField(label="What the bank charged", required=False)
    reason = forms.CharField(label="The bank's reason", required=False, max_length=300)
