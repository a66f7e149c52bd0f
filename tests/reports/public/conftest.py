from tests.reports.month.lived import crew as crew
from tests.reports.month.lived import lived, owner, told

__all__ = ["crew", "lived", "owner", "told"]
