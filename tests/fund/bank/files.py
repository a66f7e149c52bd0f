"""Statements as banks write them, made small for tests. Accounts, names and amounts are invented."""

from collections.abc import Sequence

HEAD = (
    "OFXHEADER:100\nDATA:OFXSGML\nVERSION:102\nSECURITY:NONE\nENCODING:USASCII\nCHARSET:{charset}\nCOMPRESSION:NONE\n"
    "OLDFILEUID:NONE\nNEWFILEUID:NONE\n\n"
)
ACCOUNT = "4400914417"


def trn(
    fitid: str,
    day: str,
    amount: str,
    name: str = "",
    *,
    kind: str = "OTHER",
    memo: str = "",
    check: str = "",
    more: str = "",
) -> str:
    """A transaction with unclosed values, as OFX 1.x has them. ``day`` goes in as it is, time and zone included."""
    words = [f"<TRNTYPE>{kind}", f"<DTPOSTED>{day}", f"<TRNAMT>{amount}", f"<FITID>{fitid}"]
    words += (
        [f"<CHECKNUM>{check}"] * bool(check) + [f"<NAME>{name}"] * bool(name) + [f"<MEMO>{memo}"] * bool(memo)
    )
    return "<STMTTRN>\n" + "\n".join(words) + more + "\n</STMTTRN>\n"


def ofx(
    rows: Sequence[str],
    closing: str,
    as_of: str,
    *,
    account: str = ACCOUNT,
    charset: str = "1252",
    currency: str = "USD",
) -> bytes:
    """An OFX 1.02 statement."""
    text = (
        HEAD.format(charset=charset) + "<OFX><SIGNONMSGSRSV1><SONRS><STATUS><CODE>0<SEVERITY>INFO</STATUS>"
        "<DTSERVER>20260301120000[-6:CST]<LANGUAGE>ENG</SONRS></SIGNONMSGSRSV1>\n"
        "<BANKMSGSRSV1><STMTTRNRS><TRNUID>1<STATUS><CODE>0<SEVERITY>INFO</STATUS><STMTRS><CURDEF>"
        + currency
        + "\n"
        f"<BANKACCTFROM><BANKID>091000<ACCTID>{account}<ACCTTYPE>CHECKING</BANKACCTFROM>\n"
        "<BANKTRANLIST><DTSTART>19700101<DTEND>" + as_of + "\n" + "".join(rows) + "</BANKTRANLIST>\n"
        f"<LEDGERBAL><BALAMT>{closing}<DTASOF>{as_of}</LEDGERBAL></STMTRS></STMTTRNRS></BANKMSGSRSV1></OFX>\n"
    )
    return text.encode("cp1252" if charset == "1252" else "latin-1")


def ofx2(rows: Sequence[tuple[str, str, str, str]], closing: str, as_of: str, *, before: str = "") -> bytes:
    """An OFX 2.x statement: (id, day, amount, name); everything closed. ``before`` stands before the root."""
    lines = "".join(
        f"<STMTTRN><TRNTYPE>OTHER</TRNTYPE><DTPOSTED>{day}</DTPOSTED><TRNAMT>{amount}</TRNAMT><FITID>{fitid}</FITID>"
        f"<NAME>{name}</NAME></STMTTRN>\n"
        for fitid, day, amount, name in rows
    )
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<?OFX OFXHEADER="200" VERSION="220" SECURITY="NONE"?>\n{before}'
        f"<OFX><BANKMSGSRSV1><STMTTRNRS><STMTRS><CURDEF>USD</CURDEF><BANKACCTFROM><BANKID>091000</BANKID>"
        f"<ACCTID>{ACCOUNT}</ACCTID><ACCTTYPE>CHECKING</ACCTTYPE></BANKACCTFROM><BANKTRANLIST>\n{lines}</BANKTRANLIST>"
        f"<LEDGERBAL><BALAMT>{closing}</BALAMT><DTASOF>{as_of}</DTASOF></LEDGERBAL></STMTRS></STMTTRNRS></BANKMSGSRSV1></OFX>"
    ).encode()


def ntry(
    ref: str,
    day: str,
    amount: str,
    sign: str,
    words: str = "",
    *,
    name: str = "",
    status: str = "BOOK",
    new: bool = False,
) -> str:
    """An entry of camt.053; ``new`` writes it as version 08 does."""
    sts = f"<Sts><Cd>{status}</Cd></Sts>" if new else f"<Sts>{status}</Sts>"
    who = "Dbtr" if sign == "CRDT" else "Cdtr"
    named = f"<Pty><Nm>{name}</Nm></Pty>" if new else f"<Nm>{name}</Nm>"
    return (
        f'<Ntry><Amt Ccy="USD">{amount}</Amt><CdtDbtInd>{sign}</CdtDbtInd>{sts}<BookgDt><Dt>{day}</Dt></BookgDt>'
        f"<AcctSvcrRef>{ref}</AcctSvcrRef><BkTxCd><Domn><Cd>PMNT</Cd><Fmly><Cd>RCDT</Cd><SubFmlyCd>ESCT</SubFmlyCd></Fmly>"
        f"</Domn></BkTxCd><NtryDtls><TxDtls><Refs><EndToEndId>NOTPROVIDED</EndToEndId></Refs><RltdPties><{who}>{named}</{who}>"
        f"</RltdPties><RmtInf><Ustrd>{words}</Ustrd></RmtInf></TxDtls></NtryDtls></Ntry>"
    )


def camt(
    entries: Sequence[str],
    opening: str,
    closing: str,
    on: str,
    *,
    version: str = "02",
    code: str = "PRCD",
    kind: str = "053",
) -> bytes:
    def balance(name: str, amount: str) -> str:
        sign = "DBIT" if amount.startswith("-") else "CRDT"
        return (
            f'<Bal><Tp><CdOrPrtry><Cd>{name}</Cd></CdOrPrtry></Tp><Amt Ccy="USD">{amount.lstrip("-")}</Amt>'
            f"<CdtDbtInd>{sign}</CdtDbtInd><Dt><Dt>{on}</Dt></Dt></Bal>"
        )

    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n<Document xmlns="urn:iso:std:iso:20022:tech:xsd:camt.{kind}.001.{version}">'
        f"<BkToCstmrStmt><GrpHdr><MsgId>1</MsgId><CreDtTm>2026-03-01T04:00:00Z</CreDtTm></GrpHdr><Stmt><Id>1</Id>"
        f"<Acct><Id><Othr><Id>{ACCOUNT}</Id></Othr></Id><Ccy>USD</Ccy></Acct>{balance(code, opening)}{balance('CLBD', closing)}"
        + "\n".join(entries)
        + "</Stmt></BkToCstmrStmt></Document>"
    ).encode()


BOMB = (
    '<!DOCTYPE OFX [<!ENTITY a "aaaaaaaaaa">'
    + "".join(
        f'<!ENTITY {name} "{f"&{before};" * 10}">'
        for before, name in zip("abcdefgh", "bcdefghi", strict=True)
    )
    + "]>\n"
)
