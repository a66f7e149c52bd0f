from django.conf import settings
from django.db import models

from fund.gifts.models import Supporter


class CrewSupporter(models.Model):
    """The supporter that a crew member is when they give: a claim they gave back, a part they want no money for."""

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="crew_supporter"
    )
    supporter = models.ForeignKey(Supporter, on_delete=models.PROTECT, related_name="crew")

    def __str__(self) -> str:
        return f"{self.person} is {self.supporter}"
