"""Which words of a record were written by people, and where they stand; these are searched hardest before publishing."""

from collections.abc import Mapping
from typing import Any


def written_texts(record: Mapping[str, Any]) -> dict[str, str]:
    """Place in words → text. The names of the crew who sign and of the fund itself are public and not among them."""
    texts: dict[str, str] = {}
    for repair in record["repairs"]:
        alias = repair["alias"]
        texts[f"the alias {alias}"] = alias
        texts[f"the story of {alias}"] = f"{texts.get(f'the story of {alias}', '')} {repair['story']}".strip()
        texts[f"the job of {alias}"] = repair["job"]
        texts[f"the vehicle of {alias}"] = repair["vehicle"]
    for purpose in record["purposes"]:
        texts[f"the purpose “{purpose['name']}”"] = purpose["name"]
    for row in record["hours"]["rows"]:
        texts[f"the kind of work “{row['skill']}”"] = row["skill"]
    reason = record["people"]["reason"]
    if reason:
        texts["the reason one person did both"] = reason
    return texts


def signing_names(record: Mapping[str, Any]) -> list[str]:
    """Names that are meant to be public: who prepared, who reviewed, the fund and its town."""
    people, rules = record["people"], record["rules"]
    return [people["prepared_by"], people["reviewed_by"], rules["fund_name"], rules["town"]]
