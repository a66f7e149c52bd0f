"""Catalytic converters and waste: what is written down, and the cautions beside it.

Used oil: 40 CFR 279.22 asks for sound containers, marked “Used Oil”, and for spills to be stopped and cleaned up. The limit
of 55 gallons that a shop may carry to a collection point itself (40 CFR 279.24), and not mixing it with solvents, are from
memory. Local rules come first.
"""

# How each kind is counted.
WASTE = {
    "used oil": "qt",
    "transmission fluid": "qt",
    "gear oil": "qt",
    "coolant": "qt",
    "brake fluid": "qt",
    "fuel": "qt",
    "refrigerant": "oz",
    "battery": "pcs",
    "tire": "pcs",
    "filter": "pcs",
    "other": "pcs",
}
DIRECTIONS = {"caught": "Caught in the shop", "taken": "Taken away"}
USED_OIL_LIMIT = 220_000  # thousandths of a quart: 55 gallons
OIL = frozenset({"used oil", "transmission fluid", "gear oil"})

CONVERTER_ENDS = {
    "core": "Back to the store as a core",
    "recycler": "To a recycler",
    "owner": "Back to the owner",
}
CONVERTER_LAW = (
    "States have laws on who may sell or buy a converter that was taken off and which papers go with it. Ask before one "
    "leaves the shop. Money for it belongs to the fund and is booked, never kept."
)
WASTE_LAW = (
    "Keep used oil in sound containers marked “Used Oil”, never mixed with solvent, brake cleaner, coolant or fuel. "
    "A spill is stopped, contained and cleaned up at once. Where it may be taken, and how much at a time, is for "
    "local rules."
)
