from datetime import timedelta
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet

from fund import clock
from fund.access.models import Person
from fund.access.powers import roles_with
from fund.forms import BookForm, DayField, MoneyFormField, OnceForm
from fund.refusal import BadInput
from jobs.hours.models import Skill
from jobs.hours.rules import WORK_LABELS, Work, parse_tenths
from jobs.repairs.models import RepairOrder
from jobs.repairs.rules import ENDED

LATELY = timedelta(days=90)  # how long an ended repair can still be chosen, for rechecks and comebacks


def crew_with_hours() -> QuerySet[Person]:
    """Active people who may enter hours."""
    people = Person.objects.filter(is_active=True, groups__name__in=roles_with("hours.enter"))
    return people.distinct().order_by("first_name", "last_name")


def repairs_to_choose() -> QuerySet[RepairOrder]:
    """Open repair orders and those that ended lately, the newest first."""
    since = clock.today() - LATELY
    lately = Q(handed_back_on__gte=since) | Q(stopped_on__gte=since)
    return RepairOrder.objects.filter(~Q(state__in=ENDED) | lately).order_by("-number")


class RepairField(forms.ModelChoiceField):
    """A repair order by its number."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=RepairOrder.objects.none(), to_field_name="number", **kwargs)

    def label_from_instance(self, obj: Any) -> str:
        ended = f" ({obj.state})" if obj.ended else ""
        return f"{obj.number} {obj.alias}, {obj.vehicle_class}{ended}"


class PersonField(forms.ModelChoiceField):
    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Person.objects.none(), to_field_name="username", **kwargs)

    def label_from_instance(self, obj: Any) -> str:
        return str(obj.label)


class PeopleField(forms.ModelMultipleChoiceField):
    """Further people of the crew, one box each."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(queryset=Person.objects.none(), to_field_name="username", **kwargs)

    def label_from_instance(self, obj: Any) -> str:
        return str(obj.label)


class ClockField(forms.TimeField):
    """A clock time of the day the work was done."""

    widget = forms.TimeInput(attrs={"type": "time", "class": "short"}, format="%H:%M")
    default_error_messages = {"invalid": "This is not a clock time. Write it like 13:30."}

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(input_formats=["%H:%M", "%H:%M:%S", "%H.%M"], **kwargs)


class TenthsField(forms.CharField):
    """Hours typed as the trade writes them, ``1.5``, as whole tenths."""

    default_error_messages = {"required": "Write the hours, like 1.5."}
    widget = forms.TextInput(
        attrs={"inputmode": "decimal", "autocomplete": "off", "class": "short number", "placeholder": "1.5"}
    )

    def to_python(self, value: Any) -> Any:
        text = super().to_python(value)
        if not text:
            return None
        try:
            return parse_tenths(text)
        except BadInput as refusal:
            raise ValidationError(refusal.sentence, code="invalid") from refusal


class HoursForm(OnceForm):
    """The usual case needs a repair, the hours and one touch for the skill; the rest starts right."""

    repair = RepairField(
        label="Repair",
        required=False,
        empty_label="No vehicle: office or shop",
        help_text="Leave it at “no vehicle” for office and shop work.",
    )
    tenths = TenthsField(label="Hours", help_text="In tenths: 1.5 is one hour and thirty minutes.")
    skill = forms.ModelChoiceField(
        Skill.objects.all(), label="Done as", widget=forms.RadioSelect, empty_label=None
    )
    on = DayField(label="Day")
    person = PersonField(label="Person", empty_label=None)
    others = PeopleField(label="Together with", required=False)
    each = forms.TypedChoiceField(
        label="Then the hours above are",
        choices=[("", "all together, split evenly"), ("each", "as many for each")],
        coerce=lambda value: value == "each",
        required=False,
        widget=forms.RadioSelect,
    )
    starts = ClockField(
        label="Begun at", required=False, help_text="Only if you want to; 24 hours, like 13:30."
    )
    ends = ClockField(label="Ended at", required=False)
    work = forms.ChoiceField(label="What for", choices=WORK_LABELS)
    note = forms.CharField(label="Note", required=False, max_length=200)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        crew = crew_with_hours()
        for name, rows in (("repair", repairs_to_choose()), ("person", crew), ("others", crew)):
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.queryset = rows

    @property
    def first(self) -> list[forms.BoundField]:
        """What nearly every row needs; the rest starts right and can stay folded."""
        return [self[name] for name in ("repair", "tenths", "skill")]

    @property
    def rest(self) -> list[forms.BoundField]:
        return [self[name] for name in ("on", "person", "others", "each", "starts", "ends", "work", "note")]

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or self.cleaned_data
        if data.get("repair") is None and data.get("work") == Work.REPAIR:
            data["work"] = Work.OFFICE.value
        person = data.get("person")
        data["each"] = bool(data.get("each"))
        data["others"] = [one for one in data.get("others", []) if one != person]
        return data


class TakeBackForm(BookForm):
    reason = forms.CharField(label="Why", max_length=200, help_text="For example: wrong day, entered twice.")


class RateForm(BookForm):
    skill = forms.ModelChoiceField(Skill.objects.filter(skilled=True), label="Skill", empty_label=None)
    amount = MoneyFormField(label="Amount an hour", above_zero=True)
    basis = forms.CharField(
        label="What the amount is",
        max_length=120,
        help_text="A wage, a wage with benefits, or a shop's posted rate: they differ several times over.",
    )
    source = forms.CharField(label="Where it is from", max_length=200)
    valid_from = DayField(label="Valid from", future=True)
