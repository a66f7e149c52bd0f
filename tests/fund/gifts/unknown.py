"""Payout files of platforms that nobody has read yet, as invented as the others. Some header or word needs a person."""

MILLPOND = b"""\
Batch,Reference,Created,Kind,Gross,Hosting,Payment fee,Net,Giver,Giver email,Designation,Device
B-9,r-100,2026-03-02 09:12,contribution,20.00,1.00,0.88,18.12,Anwen Pell,anwen@example.org,General,phone
B-9,r-101,2026-03-02 10:40,contribution,150.00,7.50,4.65,137.85,Wren Tully,wren@example.org,Tires,phone
B-9,r-102,2026-03-03 10:40,refund,-20.00,0.00,0.00,-20.00,Anwen Pell,anwen@example.org,General,phone
B-9,r-103,2026-03-05 06:00,sweep,-135.97,,,-135.97,,,,
"""

FOREIGN = """\
Buchung;Wann;Was;Brutto;Anteil;Name;E-Post
A1;13.03.2026;Gabe;1.025,50;82,04;Änne Moß;aenne@example.org
A2;14.03.2026;Gabe;10,00;0,80;Jörg Ahl;joerg@example.org
A3;15.03.2026;Sammelgang;952,66;;;
""".encode("cp1252")


def many_rows(many: int, batch: str = "B-9") -> bytes:
    """``many`` gifts of 20.00 less 1.88 in fees, and the payout that sweeps them to the bank."""
    head = MILLPOND.splitlines()[0].decode()
    rows = [
        f"{batch},{batch}-{n},2026-03-{n % 12 + 1:02} 09:12,contribution,20.00,1.00,0.88,18.12,Anwen Pell {n % 900},"
        f"anwen{n % 900}@example.org,General,phone"
        for n in range(many)
    ]
    swept = f"{many * 1812 / 100:.2f}"
    rows.append(f"{batch},{batch}-out,2026-03-13 06:00,sweep,-{swept},,,-{swept},,,,")
    return "\n".join([head, *rows, ""]).encode()
