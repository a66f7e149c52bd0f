from tests.reports.month.lived import (
    accountant,
    closed,
    crew,
    lived,
    orders,
    owner,
    published,
    treasurer,
    volunteer,
)

__all__ = ["accountant", "closed", "crew", "lived", "orders", "owner", "published", "treasurer", "volunteer"]
