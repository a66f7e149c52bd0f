"""Django's import list: every model of this app lives in its feature folder."""

from reports.month.models import PublicWording, PublishedFile, PublishedMonth
from reports.position.models import Verification

__all__ = ["PublicWording", "PublishedFile", "PublishedMonth", "Verification"]
