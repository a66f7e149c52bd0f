"""The search boxes above lists: words over several columns, days and amounts typed as in every form."""

from functools import reduce
from operator import or_
from typing import Any

import django_filters
from django.db.models import Q, QuerySet
from django_filters.widgets import BooleanWidget

from fund.forms import BookForm, DayField, MoneyFormField, MonthField

MAX_WORDS = 8


class WordsFilter(django_filters.CharFilter):
    """Finds rows in which every word typed occurs in at least one of ``columns``."""

    def __init__(self, columns: list[str], **kwargs: Any) -> None:
        kwargs.setdefault("label", "Words")
        super().__init__(max_length=100, **kwargs)
        self.columns = columns

    def filter(self, qs: QuerySet[Any], value: str | None) -> QuerySet[Any]:
        for word in (value or "").split()[:MAX_WORDS]:
            qs = qs.filter(reduce(or_, (Q(**{f"{column}__icontains": word}) for column in self.columns)))
        return qs


class DayFilter(django_filters.Filter):
    """A day; use ``lookup_expr="gte"`` labeled From and ``"lte"`` labeled Until."""

    field_class = DayField

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("future", True)
        super().__init__(*args, **kwargs)


class MonthFilter(django_filters.Filter):
    field_class = MonthField


class MoneyFilter(django_filters.Filter):
    """An amount, in columns that hold Money; any sign."""

    field_class = MoneyFormField

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("lowest", None)
        super().__init__(*args, **kwargs)


class YesNoWidget(BooleanWidget):
    """Yes, no, or any of both."""

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs)
        self.choices = [("", "any"), ("true", "yes"), ("false", "no")]


class YesNoFilter(django_filters.BooleanFilter):
    """Rows for which something holds, or does not."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, widget=YesNoWidget, **kwargs)


class BookFilterSet(django_filters.FilterSet):
    """Base of all filter sets: the house's form, and no rows for a search that cannot be read."""

    class Meta:
        form = BookForm

    def get_form_class(self) -> type[BookForm]:
        fields = {name: filter_.field for name, filter_ in self.filters.items()}
        return type(f"{type(self).__name__}Form", (BookForm,), fields)

    @property
    def qs(self) -> QuerySet[Any]:
        if self.is_bound and not self.form.is_valid():
            return self.queryset.none()
        found: QuerySet[Any] = super().qs
        return found
