from datetime import date

from jobs.eligibility.queries import eligible_applications
from jobs.intake.models import Application
from jobs.intake.models_order import OutOfTurn


def comes_first(application: Application, on: date | None = None) -> Application | None:
    """The request that could be taken before this one by the stated order; None when it is its turn, or when a reason
    was written why it is taken out of turn. A further repair of the same request needs no turn."""
    first = eligible_applications(on).first()
    if first is None or first.pk == application.pk or application.repairs.exists():
        return None
    return None if OutOfTurn.objects.filter(application=application).exists() else first
