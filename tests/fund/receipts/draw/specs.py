"""Writes the figures of the drawn receipts: invented, made by chance from a fixed seed, kept in papers.json.

Run once by hand (``python -m tests.fund.receipts.draw.specs``); the pictures are drawn from the file, never from here.
"""

import json
from datetime import date, timedelta
from pathlib import Path
from random import Random

HERE = Path(__file__).parent
STORES = ("Gantry Parts", "Northside Counter", "Millrace Tire", "Larkwater Hardware", "Old Quay Salvage")
PARTS = (
    "FRONT BRAKE PADS", "BRAKE ROTOR", "OIL FILTER", "ALTERNATOR REMAN", "CORE DEPOSIT", "COOLANT 1 QT", "HOSE KIT",
    "SERPENTINE BELT", "TEMP SENDER", "WHEEL BEARING", "WIPER BLADE 22", "SPARK PLUG", "FUEL PUMP", "DISPOSAL FEE",
    "TIE ROD END", "THERMOSTAT", "BATTERY 24F", "TRANS FLUID QT",
)  # fmt: skip
LAYOUTS = ("plain", "labelled", "quantities", "leaders")
FONTS = (
    "pillow",
    "DejaVuSansMono",
    "DejaVuSans",
    "DejaVuSerif",
    "STIXGeneral",
    "DejaVuSansMono-Bold",
    "cmtt10",
)
# Papers of no purchase whose sums tie as a purchase's do: where the word stands, and what it is.
NO_PURCHASE = (
    ("total", "REFUND"), ("title", "RETURN"), ("foot", "** VOID **"), ("title", "QUOTATION"), ("title", "CREDIT SLIP"),
    ("foot", "V O I D"), ("title", "ESTIMATE"), ("foot", "REPRINT"), ("title", "DUPLICATE RECEIPT"), ("total", "RETURN"),
    ("foot", "REFUNDED TO CARD"), ("title", "Pro forma"),
)  # fmt: skip
HARM = ("none", "tilt", "blur", "faded", "tilt+blur", "faded+tilt", "noise", "worn", "small", "worn+blur")


def main() -> None:
    chance, papers = Random(20260315), []
    for number in range(1, 41):
        amounts = [chance.randrange(250, 21999) for _ in range(chance.randint(1, 5))]
        tax = round(sum(amounts) * 0.0825) if chance.random() > 0.1 else 0
        day = date(2026, 3, 14) - timedelta(days=chance.randrange(300))
        papers.append(
            {
                "name": f"paper{number:02}",
                "store": STORES[number % len(STORES)],
                "number": str(chance.randrange(1000, 999999)),
                "on": day.isoformat(),
                "lines": [
                    [text, amount]
                    for text, amount in zip(chance.sample(PARTS, len(amounts)), amounts, strict=True)
                ],
                "tax": tax,
                "total": sum(amounts) + tax,
                "subtotal": chance.random() > 0.3,
                "layout": LAYOUTS[number % len(LAYOUTS)],
                "day_shape": ("%m/%d/%Y", "%Y-%m-%d", "%m-%d-%y", "%b %d, %Y")[number % 4],
                "font": FONTS[number % len(FONTS)],
                "harm": HARM[number * 3 % len(HARM)],
                "seed": number,
            }
        )
    for number, (place, word) in enumerate(NO_PURCHASE, start=41):
        amounts = [chance.randrange(250, 21999) for _ in range(chance.randint(2, 4))]
        tax = round(sum(amounts) * 0.0825)
        papers.append(
            {
                "name": f"paper{number:02}",
                "store": STORES[number % len(STORES)],
                "number": str(chance.randrange(1000, 999999)),
                "on": (date(2026, 3, 14) - timedelta(days=chance.randrange(300))).isoformat(),
                "lines": [
                    [text, amount]
                    for text, amount in zip(chance.sample(PARTS, len(amounts)), amounts, strict=True)
                ],
                "tax": tax,
                "total": sum(amounts) + tax,
                "subtotal": True,
                "layout": LAYOUTS[number % len(LAYOUTS)],
                "day_shape": "%m/%d/%Y",
                "font": ("DejaVuSansMono", "DejaVuSans")[number % 2],
                "harm": ("none", "tilt", "none", "noise")[number % 4],
                "seed": number,
                "says": [place, word],
            }
        )
    (HERE / "papers.json").write_text(json.dumps(papers, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
