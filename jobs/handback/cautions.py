"""What the household is told to watch, by kind of job. Common practice of the trade; the maker comes first."""

RETORQUE = "Have the wheel nuts torqued again after 50 to 100 miles. Come by; it takes five minutes."
MAKER_FIRST = (
    "The maker's own procedure and figures for this vehicle come before anything on this sheet. "
    "Local codes apply, and work that the law keeps for licensed people was not done by the crew."
)
CALL_US = (
    "If a warning light comes on, the fault returns, or anything feels, sounds or smells wrong: "
    "stop where it is safe and call us."
)

_WHEELS = (
    "brake",
    "tire",
    "wheel",
    "bearing",
    "hub",
    "ball joint",
    "control arm",
    "tie rod",
    "tie-rod",
    "axle",
    "strut",
)
_BY_WORD: tuple[tuple[tuple[str, ...], str], ...] = (
    (
        ("brake", "pad", "rotor", "caliper"),
        "New brakes need bedding in: brake gently for the first 200 miles and leave more room than usual. "
        "A pedal that sinks or feels soft means do not drive.",
    ),
    (
        ("cool", "overheat", "water pump", "thermostat", "radiator", "hose"),
        "Look at the coolant level tomorrow morning with the engine cold. Never open the cap of a hot engine: "
        "it can spray and scald.",
    ),
    (
        ("tire",),
        "Check the tire pressure cold within a week, against the placard in the door frame.",
    ),
    (
        ("battery", "alternator", "starter", "electric"),
        "The battery was off, so the clock and windows may need setting and the shift may feel different for a few "
        "days. An emissions inspection may not pass until the monitors have run through several days of mixed driving.",
    ),
    (
        ("fuel",),
        "If you smell fuel, do not start the engine: leave the vehicle, keep flames and sparks away, and call us.",
    ),
    (
        ("transmission", "gearbox"),
        "Look under the vehicle for red or brown drops tomorrow. The fluid level is read hot, the maker's way; "
        "do not top it up cold.",
    ),
    (
        ("ball joint", "control arm", "tie rod", "tie-rod", "steering", "strut", "suspension"),
        "It needs a wheel alignment, if the sheet does not list one. A pull or a crooked steering wheel means come back.",
    ),
    (
        ("exhaust", "muffler"),
        "Exhaust fumes can kill. If you smell them inside, open the windows, stop, get out and call us.",
    ),
    (
        ("oil", "gasket"),
        "Check the oil level cold after a few days, and look for drops where it stands.",
    ),
)


def wheels_in(job: str) -> bool:
    """Whether work of these words takes a wheel off."""
    return any(key in job.lower() for key in _WHEELS)


def care_notes(job: str, *, wheels_off: bool = False) -> list[str]:
    """Sentences for the household, chosen by the words of the job; the last ones are on every sheet."""
    words = job.lower()
    notes = [text for keys, text in _BY_WORD if any(key in words for key in keys)]
    if wheels_off or wheels_in(job):
        notes.insert(0, RETORQUE)
    return [*notes, CALL_US]
