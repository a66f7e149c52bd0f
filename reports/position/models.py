from django.db import models

from fund.long_work import LongJob


class Verification(LongJob):
    """One proof of all the books: who asked for it, when, and what was found. ``rows`` counts the proofs.

    ``details`` are the breaks in sentences, ``counts`` how much was looked at, ``proved`` the laws that hold.
    """

    told_as = "verification"

    counts = models.JSONField(default=dict)
    proved = models.JSONField(default=list)

    class Meta:
        ordering = ["-id"]

    def __str__(self) -> str:
        return f"verification {self.pk} {self.state}"

    @property
    def holds(self) -> bool:
        return self.state == "done" and not self.details

    @property
    def looked_at(self) -> list[tuple[str, int]]:
        return [(name.replace("_", " "), count) for name, count in self.counts.items()]
