from typing import Any

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from fund.access.guards import power
from fund.access.second import with_second
from fund.gifts.actions_scrap import sell_scrap
from fund.gifts.forms_cash import ScrapForm
from fund.gifts.models import CashCount
from fund.pages import form_page, person_of, posted


@power("gift.count")
def scrap_new(request: HttpRequest) -> HttpResponse:
    form = ScrapForm(**posted(request))

    def act(told: dict[str, Any]) -> CashCount:
        second, _ = with_second(request, told, power="gift.count")
        return sell_scrap(
            by=person_of(request),
            second=second,
            on=told["on"],
            what=told["what"],
            yard=told["yard"],
            denominations=form.denominations(),
            note=told["note"],
        )

    return form_page(
        request,
        form,
        act,
        template="fund/gifts/scrap_new.html",
        then=lambda made: reverse("gifts:count", args=[made.code]),
        done=lambda made: f"{made.code}: {made.total.dollars} for scrap.",
    )
