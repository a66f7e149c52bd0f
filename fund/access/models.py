from django.contrib.auth.models import AbstractUser
from django.db import models


class Person(AbstractUser):
    """A member of the crew who can sign in. What they may do follows from their groups (see powers.py).

    ``first_password`` holds while somebody else knows the password: no page but the one that changes it opens.
    """

    first_password = models.BooleanField(default=False)

    class Meta(AbstractUser.Meta):
        verbose_name = "crew member"
        verbose_name_plural = "crew members"

    @property
    def label(self) -> str:
        return self.get_full_name() or self.username

    def __str__(self) -> str:
        return self.label
