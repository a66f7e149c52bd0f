from django.apps import AppConfig


class JobsConfig(AppConfig):
    name = "jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from fund.receipts.gates import GATES, USES
        from jobs.approvals.gate import refuse_more_than_consumables, refuse_tied_buyer
        from jobs.handback.gate import refuse_plain_part

        if refuse_tied_buyer not in GATES:
            GATES.append(refuse_tied_buyer)
        for use in (refuse_plain_part, refuse_more_than_consumables):
            if use not in USES:
                USES.append(use)
