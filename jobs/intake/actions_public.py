"""What a household does itself, by its private link: no one of the crew acts, so ``by`` is None in the trail."""

from collections.abc import Sequence
from datetime import date

from django.db import transaction
from django.utils.translation import gettext_noop as said

from fund import clock
from fund.refusal import AlreadyDone, BadInput, NotReady
from fund.trail.actions import record
from jobs.households.rules import IncomeFacts, MemberFacts
from jobs.intake.actions import write_request
from jobs.intake.models import Application
from jobs.intake.models_draft import Draft
from jobs.intake.rules import WEB, Asking
from jobs.repairs.models import RepairOrder


@transaction.atomic
def public_request(
    *,
    draft: Draft,
    asking: Asking,
    members: Sequence[MemberFacts] = (),
    incomes: Sequence[IncomeFacts] = (),
    on: date | None = None,
    alias: str | None = None,
) -> Application:
    """Send what a household told by the public form. From now on its link leads to the state of the request.

    Only this way can a request come in without anyone of the crew, and only by the channel "web". What was typed is
    taken out of the draft. Refuses what :func:`actions.open_application` refuses, and a draft that was sent.
    """
    draft = Draft.objects.select_for_update().get(pk=draft.pk)
    if draft.application_id is not None:
        raise AlreadyDone(said("This was sent already. Nothing was changed."))
    if asking.channel != WEB:
        raise BadInput(said("A request by the public form comes by the public form."))
    application = write_request(
        by=None,
        asking=asking,
        members=members,
        incomes=incomes,
        submitted_on=on,
        household=None,
        alias=alias,
    )
    draft.application, draft.told = application, {"language": asking.language}
    draft.changed_on = clock.today()
    draft.save(update_fields=["application", "told", "changed_on"])
    return application


@transaction.atomic
def withdraw_request(*, draft: Draft) -> Application:
    """The household takes its request back by its link.

    Refuses once it was helped, declined or taken back, and once a repair was approved: then money is promised, and
    the crew talks with the household first.
    """
    application = draft.application
    if application is None:
        raise NotReady(said("This was not sent yet. You can throw it away instead."))
    application = (
        Application.objects.select_for_update(of=("self",)).select_related("household").get(pk=application.pk)
    )
    if not application.is_open:
        raise AlreadyDone(said("This request is not open any more. Nothing was changed."))
    if RepairOrder.objects.filter(application=application, approved_on__isnull=False).exists():
        raise NotReady(
            said("We have begun with the repair. Please call us, so that we can stop it together.")
        )
    application.state, application.withdrawn_on = "withdrawn", clock.today()
    application.save(update_fields=["state", "withdrawn_on"])
    text = (
        f"{application.code} of household {application.household.alias}: taken back by the household itself."
    )
    record(by=None, action="application.withdraw", subject=application.code, text=text)
    return application
