"""Cautions shown where work begins and on the printed work sheet.

Lifting: a raised load is secured at once, and nobody works under one that stands on jacks alone (29 CFR 1910.244(a);
WAC 296-307-22509). The rest is common practice of the trade. None of it replaces the maker's procedure.
"""

from collections.abc import Sequence

ALWAYS = (
    "In Park or in gear, parking brake set, wheels chocked. Key out while hands are in the engine.",
    "Never under a vehicle on a jack alone: stands at once, in pairs, rated above the load, on firm level ground.",
    "Two people on site while anything is lifted. Eye cover and gloves; rings off, sleeves and hair tied back.",
    "Extinguisher at hand, doors open. Never run an engine indoors without the exhaust led outside.",
    "Airbags: battery off, then wait as long as the maker says. Springs: only in a compressor. Hot coolant: never open. "
    "High voltage: only people trained for it.",
)
MAKER_FIRST = (
    "The maker's procedure and figures for this vehicle come before this list, and so do local codes. Work that the law "
    "keeps for licensed people is left to them."
)


def cautions_for(of_the_job: Sequence[str]) -> list[str]:
    """Those of the typical job first, then what holds for every job; lifting is not said twice."""
    lifting = any("under a jack alone" in line for line in of_the_job)
    return [*of_the_job, *(line for line in ALWAYS if not (lifting and "on a jack alone" in line))]
