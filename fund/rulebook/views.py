from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from fund.access.guards import power
from fund.pages import form_page, person_of, posted
from fund.rulebook.actions import set_rule
from fund.rulebook.forms import RuleForm
from fund.rulebook.queries import history, rule_states
from fund.rulebook.rules import RULES


@power("rules.change")
def rules(request: HttpRequest) -> HttpResponse:
    return render(request, "fund/rulebook/rules.html", {"states": rule_states()})


@power("rules.change")
def rule(request: HttpRequest, name: str) -> HttpResponse:
    spec = RULES.get(name)
    if spec is None:
        raise Http404
    return form_page(
        request,
        RuleForm(spec, **posted(request)),
        lambda cleaned: set_rule(by=person_of(request), name=name, **cleaned),
        template="fund/rulebook/rule.html",
        then=lambda _: reverse("rulebook:rule", args=[name]),
        done=lambda row: f"{spec.words}: {row.value} from {row.valid_from}.",
        context={"spec": spec, "history": history(name)},
    )
