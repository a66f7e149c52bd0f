"""The mechanic takes fluids and small supplies before the decision."""

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from fund.access.guards import power
from fund.commitments.queries import allowance
from fund.pages import form_page, person_of, posted
from jobs.approvals.actions_consumables import take_consumables
from jobs.approvals.forms import ConsumablesForm
from jobs.approvals.queries_consumables import consumables_of
from jobs.repairs.pages import repair_or_404


@power("repair.write")
def consumables(request: HttpRequest, number: str) -> HttpResponse:
    repair = repair_or_404(number)
    now = consumables_of(repair, person_of(request), allowance(number))
    return form_page(
        request,
        ConsumablesForm(**posted(request)),
        lambda data: take_consumables(by=person_of(request), repair=repair, **data),
        template="jobs/approvals/consumables.html",
        then=lambda row: reverse("repairs:repair", args=[number]),
        done=lambda row: f"{row.amount.dollars} is promised to {number} for consumables.",
        context={"repair": repair, "consumables": now},
    )
