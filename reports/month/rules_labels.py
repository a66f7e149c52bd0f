"""What the lines of the money table are called in public, and how gifts are told apart. Words only."""

from fund.ledger import chart

# How a gift came in, in the order of the page. The kinds are those of the gifts room.
GIFT_LABELS = {
    "platform": "Gifts through the membership platform",
    "card": "Gifts by card",
    "cash": "Gifts in cash",
    "check": "Gifts by check",
    "transfer": "Gifts by bank transfer",
    "via crew": "Gifts by transfer to a crew member's account, brought to the fund",
    "claim": "Money owed to the crew and given back",
    "forgiven": "Loans that were forgiven",
    "other": "Other gifts, and corrections of gifts",
}
STATED_PURPOSE = "Gifts for a stated purpose"
BROUGHT_IN = "Brought into the books at the start"
ACCOUNT_LABELS = {
    chart.GIFTS_GOODS: "Parts and goods given",
    chart.HOUSEHOLD_SHARE: "Given by households toward their own repair",
    chart.SUNDRY: "Scrap and other small income",
    chart.INTEREST: "Interest",
    chart.EXCHANGE: "Exchange differences",
    chart.RETURNED: "Gifts returned and charged back",
    chart.PARTS: "Parts for repairs",
    chart.FLUIDS: "Fluids and small supplies for repairs",
    chart.OUTSIDE: "Outside work for repairs",
    chart.CORES_LOST: "Core deposits lost",
    chart.COMEBACK: "Parts to make a repair good again",
    chart.SHELF_LOSS: "Shelf losses and restocking",
    chart.SUPPLIES: "Shop supplies and waste disposal",
    chart.TOOLS: "Small tools",
    chart.FEES: "Payment fees",
    chart.BANK_FEES: "Bank and dispute charges",
    chart.OVER_SHORT: "Cash over or short",
    chart.FRAUD: "Losses to fraud",
    chart.BENEFIT_COST: "Fundraising and member benefits",
    chart.ADMIN: "Insurance, accountant and other administration",
}
# Donated labor is income and cost at once and no cash at all: it stands outside the money table.
LABOR_PAIR = (chart.GIFTS_LABOR, chart.LABOR)
