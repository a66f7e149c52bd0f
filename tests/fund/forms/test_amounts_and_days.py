"""Amounts and days as people type them."""

from datetime import date

import pytest
from django import forms

from fund.forms import BookForm, DayField, MoneyFormField, MonthField, WholeField
from fund.money import Money


class Slip(BookForm):
    amount = MoneyFormField(above_zero=True)
    day = DayField(help_text="The day on the slip.")


@pytest.mark.parametrize(
    ("typed", "minor"), [("1,184.00", 118400), ("$12", 1200), (" 0.5 ", 50), ("2436", 243600)]
)
def test_an_amount_is_read_as_people_write_it(typed: str, minor: int) -> None:
    assert MoneyFormField().clean(typed) == Money(minor)


@pytest.mark.parametrize("typed", ["abc", "1.234", "12,34", "1e5", "--"])
def test_what_is_not_an_amount_gets_a_sentence(typed: str) -> None:
    with pytest.raises(forms.ValidationError, match="amount|parts of a cent"):
        MoneyFormField().clean(typed)


@pytest.mark.parametrize(
    ("typed", "number"),
    [("143900", 143_900), ("143,900", 143_900), (" 143 900 ", 143_900), ("1,143,900", 1_143_900), ("0", 0)]
    + [("143\u202f900", 143_900), ("-1,200", -1200), ("12.0", 12)],
)
def test_a_whole_number_is_read_as_people_write_it_and_as_we_print_it(typed: str, number: int) -> None:
    assert WholeField().clean(typed) == number


@pytest.mark.parametrize(
    "typed", ["143,9", "14,39,00", "1,143 900", "143900,000", "1.5", ",900", "14x", "143,"]
)
def test_what_is_no_whole_number_gets_a_sentence(typed: str) -> None:
    class Odometer(BookForm):
        miles = WholeField(max_value=9_999_999)

    assert Odometer({"miles": typed}).errors["miles"] == ["Write a whole number."]
    assert Odometer({"miles": ""}).errors["miles"] == ["Write a whole number."]
    assert Odometer({"miles": "10,000,000"}).errors["miles"] == ["This must be 9999999 or less."]


def test_an_amount_below_zero_is_refused_unless_the_field_allows_it() -> None:
    with pytest.raises(forms.ValidationError, match="cannot be below zero"):
        MoneyFormField().clean("-5")
    assert MoneyFormField(lowest=None).clean("-5") == Money(-500)


def test_zero_is_refused_where_something_must_have_been_paid() -> None:
    with pytest.raises(forms.ValidationError, match="above zero"):
        MoneyFormField(above_zero=True).clean("0.00")


def test_an_empty_amount_is_none_if_it_may_be_left_out() -> None:
    assert MoneyFormField(required=False).clean("") is None


def test_a_day_that_has_not_come_is_refused_and_said_with_today() -> None:
    with pytest.raises(forms.ValidationError, match="2026-03-16 has not come yet .today is 2026-03-15"):
        DayField().clean("2026-03-16")
    assert DayField(future=True).clean("2026-03-16") == date(2026, 3, 16)


@pytest.mark.parametrize("typed", ["2026-02-30", "yesterday", "0026-03-01"])
def test_what_is_not_a_day_is_refused(typed: str) -> None:
    with pytest.raises(forms.ValidationError):
        DayField().clean(typed)


def test_a_day_may_be_typed_the_american_way() -> None:
    assert DayField().clean("03/14/2026") == date(2026, 3, 14)


@pytest.mark.parametrize("typed", ["2026-13", "March", "2026-3", "0001-01", "9999-12"])
def test_a_month_is_four_figures_and_two(typed: str) -> None:
    with pytest.raises(forms.ValidationError, match="like 2026-03"):
        MonthField().clean(typed)


def test_a_wrong_form_comes_back_with_what_was_typed_and_points_at_each_field() -> None:
    html = str(Slip({"amount": "abc", "day": ""}))
    assert 'value="abc"' in html
    assert 'href="#id_amount"' in html
    assert 'aria-describedby="id_day_helptext id_day_error"' in html
    assert 'id="id_day_error"' in html
    assert 'id="id_day_helptext"' in html
    assert html.count('aria-invalid="true"') == 2


def test_money_is_shown_again_without_grouping() -> None:
    assert 'value="1184.00"' in str(Slip(initial={"amount": Money(118400)})["amount"])
