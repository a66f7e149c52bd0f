from datetime import date

from django.db import transaction

from fund import clock
from fund.access.guards import require
from fund.access.models import Person
from fund.refusal import AlreadyDone, BadInput
from fund.trail.actions import record
from jobs.households.models_keep import ConsentChange
from jobs.households.queries_consent import consents_on
from jobs.intake.models import Application
from jobs.intake.rules import CONSENTS
from jobs.repairs.models import RepairOrder


@transaction.atomic
def change_consent(
    *,
    by: Person | None,
    application: Application,
    key: str,
    given: bool,
    words: str = "",
    on: date | None = None,
) -> ConsentChange:
    """A household takes a yes back, or gives it again. The books stay as they are; what was published is told apart.

    ``by`` is who wrote it down, or None where the household did it by its private link. From this day the yes no
    longer counts for anything new. What stands on the fund's own pages is taken down or put right by hand; copies
    that others made cannot be called back, and ``words`` is the place to say what was done (both are told to the
    household). Without the yes to keep the data an open request is closed as taken back; one whose repair was approved
    stays for the crew to end (queries_stuck). Refuses an unknown key, a day to come, and what stands so already.
    """
    if by is not None:
        require(by, "intake.enter")
    on = on or clock.today()
    if key not in CONSENTS:
        raise BadInput(f"“{key[:20]}” is not one of the consents we ask for.")
    if not application.submitted_on <= on <= clock.today():
        raise BadInput(f"A consent cannot be changed on {on}: the request is of {application.submitted_on}.")
    application = Application.objects.select_for_update().select_related("household").get(pk=application.pk)
    if consents_on(application, on).get(key, False) == given:
        raise AlreadyDone("The household's answer stands like this already. Nothing was changed.")
    change = ConsentChange.objects.create(
        application=application, key=key, given=given, words=words.strip(), on=on, by=by
    )
    verb = "given" if given else "taken back"
    text = f"{application.code} of household {application.household.alias}: consent “{key}” {verb} on {on}."
    record(by=by, action="consent.change", subject=application.code, text=text, data={"given": given})
    if key == "data" and not given:
        _close(by, application, on)
    return change


def _close(by: Person | None, application: Application, on: date) -> None:
    begun = RepairOrder.objects.filter(application=application, approved_on__isnull=False).exists()
    if begun or not application.is_open:
        return
    application.state, application.withdrawn_on = "withdrawn", on
    application.save(update_fields=["state", "withdrawn_on"])
    text = f"{application.code} of household {application.household.alias}: closed, the yes to keep the data was taken back."
    record(by=by, action="application.withdraw", subject=application.code, text=text)
