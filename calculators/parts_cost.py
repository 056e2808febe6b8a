"""What will this repair cost, to the customer and to us?

Parameters are decimals: amounts in the currency, percentages as percent numbers (20 for 20 %), hours.

* Each part: ``round(quantity * price * (1 - discount) * (1 - overall discount))``.
* Labour: ``round(hours * rate * (1 - overall discount))``. The call-out is never discounted.
* A part with a cost alone: ``price = round(cost / (1 - target margin))``, with tax added and rounded once
  more where prices include tax. A price that was given is never changed.
* Tax on the total: ``round(net * rate)``, one tax rate for the whole repair (EN 16931, BR-CO-17: taxable
  amount of the category times its rate, rounded). Tax on each line: each line's tax rounded, then added.
* Where prices include tax: ``tax = round(gross * rate / (100 + rate))`` is taken out and the gross stays. The
  nets of the lines add up to the net total; what rounding leaves goes to the largest line.
* For the office, over the parts whose cost is known: ``margin = (net - cost) / net`` and
  ``markup = (net - cost) / cost``. For the customer no cost, margin or markup appears anywhere.

Rounding is half away from zero at the currency's digits (ISO 4217). Limits: one tax rate; no part may be
taken back (quantities above 0).
"""

from dataclasses import dataclass
from decimal import Decimal, localcontext

from . import money
from .form import Calculator, Field, Figure, Lookup, Refusal, Refused, Result, Table, Working
from .money import less, rounded, share, written
from .pictures.parts_cost import picture
from .words import _, mark

ZERO = Decimal(0)


@dataclass(frozen=True)
class Line:
    """One priced line; `net` and `gross` are rounded, `cost` is None where it is not known."""

    kind: str
    description: str
    part: str | None
    quantity: Decimal
    price: Decimal
    discount: Decimal
    amount: Decimal  # as priced: with tax where prices include it
    cost: Decimal | None


def _run(v: dict) -> Result:
    with localcontext(money.CONTEXT):  # sums and differences are exact, too
        return _priced(v)


def _priced(v: dict) -> Result:
    office, currency = v["audience"] == "office", v["currency"]
    lines = _lines(v, office)
    if not lines:
        raise Refused([Refusal("lines", _("nothing"), _("at least one line, labour hours or a call-out"))])
    nets, taxes, gross = _totals(lines, v, currency)
    net = sum(nets, ZERO)
    tax = gross - net
    of_kind = {kind: sum((n for n, line in zip(nets, lines, strict=True) if line.kind == kind), ZERO)
               for kind in ("part", "labour", "call-out")}
    result = Result("priced", _answer(gross, net, currency))
    for name, amount in (("gross", gross), ("net", net), ("tax", tax), ("parts", of_kind["part"]),
                         ("labour", of_kind["labour"]), ("call_out", of_kind["call-out"])):
        result.figures[name] = (rounded(amount, currency), currency)
    result.tables["lines"] = [_row(line, n, currency) for line, n in zip(lines, nets, strict=True)]
    result.workings = _workings(lines[0], net, tax, taxes, v, currency)
    result.notes = _notes(v)
    if office:
        _office(result, lines, nets, currency)
    result.picture = picture(of_kind["part"], of_kind["labour"], of_kind["call-out"], tax, gross, currency)
    return result


def _answer(gross: Decimal, net: Decimal, currency: str) -> str:
    said = {"gross": written(gross), "net": written(net), "currency": currency}
    if gross == net:
        return _("The repair costs {gross} {currency}; there is no tax in it.").format(**said)
    return _("The repair costs {gross} {currency} with tax, {net} {currency} without.").format(**said)


def _row(line: Line, net: Decimal, currency: str) -> dict:
    quantity = _plain(line.quantity)
    return {
        "description": line.description, "part": line.part,
        "quantity": _("{hours} h").format(hours=quantity) if line.kind == "labour" else quantity,
        "price": (_plain(line.price), currency),
        "discount": (_plain(line.discount), "%") if line.discount else None,
        "net": (rounded(net, currency), currency),
    }


def _lines(v: dict, office: bool) -> list[Line]:
    lines, refusals = [], []
    currency = v["currency"]
    for number, row in enumerate(v["lines"]):
        path = f"lines/{number}"
        description = row["description"] or row["part"]
        if not description:
            refusals.append(Refusal(f"{path}/part", _("nothing"), _("a part or a description")))
        price = row["price"]
        if price is None and row["cost"] is not None and v["target_margin"] is not None:
            price = rounded(money.price_for_margin(row["cost"], v["target_margin"]), currency)
            if v["prices_include_tax"]:
                price = rounded(price + share(price, v["tax_rate"]), currency)
        if price is None:
            wanted = _("a price, or a cost together with a target margin") if office else _("a price")
            refusals.append(Refusal(f"{path}/price", _("nothing"), wanted))
            continue
        amount = rounded(_both(money.times(row["quantity"], price), row["discount"], v["discount"]), currency)
        cost = None if row["cost"] is None else money.times(row["quantity"], row["cost"])
        part = row["part"] if row["description"] else None
        lines.append(Line("part", description or "", part, row["quantity"], price, _joined(row["discount"], v["discount"]), amount,
                          cost))
    if v["labour_hours"]:
        if v["labour_rate"] is None:
            refusals.append(Refusal("labour_rate", _("nothing"), _("a rate when labour hours are given")))
        else:
            amount = rounded(less(money.times(v["labour_hours"], v["labour_rate"]), v["discount"]), currency)
            lines.append(Line("labour", _("labour"), None, v["labour_hours"], v["labour_rate"], v["discount"], amount,
                              None))
    if v["call_out"]:
        lines.append(Line("call-out", _("call-out"), None, Decimal(1), v["call_out"], ZERO, rounded(v["call_out"], currency),
                          None))
    if refusals:
        raise Refused(refusals)
    return lines


def _both(amount: Decimal, first: Decimal, second: Decimal) -> Decimal:
    return less(less(amount, first), second)


def _joined(first: Decimal, second: Decimal) -> Decimal:
    """Two discounts one after the other as one percentage."""
    if not first or not second:
        return first + second
    return (Decimal(100) - _both(Decimal(100), first, second)).normalize()


def _totals(lines: list[Line], v: dict, currency: str) -> tuple[list[Decimal], list[Decimal], Decimal]:
    """Net of each line, its tax where tax is taken line by line, and the gross total."""
    rate, amounts = v["tax_rate"], [line.amount for line in lines]
    if v["tax_on"] == "line":
        tax = money.tax_within if v["prices_include_tax"] else share
        taxes = [rounded(tax(amount, rate), currency) for amount in amounts]
        if v["prices_include_tax"]:
            nets = [amount - t for amount, t in zip(amounts, taxes, strict=True)]
            return nets, taxes, sum(amounts, ZERO)
        return amounts, taxes, sum(amounts, ZERO) + sum(taxes, ZERO)
    total = sum(amounts, ZERO)
    if not v["prices_include_tax"]:
        return amounts, [], total + rounded(share(total, rate), currency)
    net = total - rounded(money.tax_within(total, rate), currency)
    return _shared_out(amounts, net, rate, currency), [], total


def _shared_out(amounts: list[Decimal], net: Decimal, rate: Decimal, currency: str) -> list[Decimal]:
    """Nets of lines whose prices include tax, adding up to `net`: what rounding leaves goes to the largest line."""
    nets = [amount - rounded(money.tax_within(amount, rate), currency) for amount in amounts]
    largest = max(range(len(nets)), key=lambda i: (amounts[i], -i))
    nets[largest] += net - sum(nets, ZERO)
    return nets


def _plain(number: Decimal) -> str:
    """A decimal as a person writes it, without an exponent."""
    return f"{number:f}"


def _workings(line: Line, net: Decimal, tax: Decimal, taxes: list[Decimal], v: dict,
              currency: str) -> list[Working]:
    minus = f" × (1 − {_plain(line.discount)} %)" if line.discount else ""
    made = [Working(_("line = quantity × price × (1 − discount), rounded"),
                    f"{_plain(line.quantity)} × {written(line.price)}{minus}", written(line.amount))]
    rate = _plain(v["tax_rate"])
    if taxes:
        made.append(Working(_("tax = sum of each line's tax, rounded"),
                            " + ".join(written(t) for t in taxes[:6]) + (" + …" if len(taxes) > 6 else ""), written(tax)))
    elif v["prices_include_tax"]:
        made.append(Working(_("tax = gross × rate/(100 + rate), rounded"), f"{written(net + tax)} × {rate}/(100 + {rate})",
                            written(tax)))
    else:
        made.append(Working(_("tax = net × rate, rounded"), f"{written(net)} × {rate} %", written(tax)))
    made.append(Working(_("gross = net + tax"), f"{written(net)} + {written(tax)}", f"{written(net + tax)} {currency}"))
    return made


def _notes(v: dict) -> list[str]:
    notes = [_("Tax is worked out on the total.") if v["tax_on"] == "total" else _("Tax is worked out line by line.")]
    if v["prices_include_tax"]:
        notes.append(_("The prices given include tax."))
    if v["discount"]:
        notes.append(_("The discount of {percent} % is on parts and labour, not on the call-out.").format(
            percent=_plain(v["discount"])))
    return notes


def _office(result: Result, lines: list[Line], nets: list[Decimal], currency: str) -> None:
    """Cost, margin and markup: for the office alone."""
    known = [(line, line.cost, n) for line, n in zip(lines, nets, strict=True) if line.cost is not None]
    if not known:
        result.notes.append(_("No cost was given, so there is no margin."))
        return
    cost = rounded(sum((c for _line, c, _net in known), ZERO), currency)
    sold = sum((n for _line, _cost, n in known), ZERO)
    result.figures["cost"] = (cost, currency)
    if sold:
        result.figures["margin_share"] = float((sold - cost) / sold)
    if cost:
        result.figures["markup_share"] = float((sold - cost) / cost)
    if len(known) < sum(line.kind == "part" for line in lines):
        result.notes.append(_("Margin and markup are over the parts whose cost is known."))
    if sold:
        result.workings.append(Working(_("margin = (price − cost)/price; markup = (price − cost)/cost"),
                                       _("price {sold}, cost {cost}").format(sold=written(sold), cost=written(cost)),
                                       f"{written(sold - cost)} {currency}"))
    result.cautions += [
        _("{line}: costs us {cost} {currency} and brings {sold}.").format(
            line=line.description, cost=written(rounded(c, currency)), sold=written(rounded(n, currency)), currency=currency)
        for line, c, n in known if n < rounded(c, currency)]
    if sold < cost:
        result.outcome = "below-cost"
        result.answer = _("Below cost: the parts cost us {cost} {currency} and bring {sold}. {said}").format(
            cost=written(cost), sold=written(sold), currency=currency, said=result.answer)


def _money(name: str, title: str, help: str = "", **more) -> Field:
    return Field(name, title, "decimal", help, **{"low": 0, "high": 1e9, "what": mark("an amount"), **more})


def _percent(name: str, title: str, help: str = "", **more) -> Field:
    return Field(name, title, "decimal", help, **{"unit": "%", "low": 0, "high": 100, "what": mark("a percentage"),
                                                  **more})


CURRENCIES = sorted({
    *money.DIGITS, "AED", "AUD", "BRL", "CAD", "CHF", "CNY", "CZK", "DKK", "EUR", "GBP", "HKD", "HUF", "IDR", "ILS", "INR",
    "MXN", "MYR", "NOK", "NZD", "PHP", "PLN", "RON", "SAR", "SEK", "SGD", "THB", "TRY", "TWD", "USD", "ZAR"})

_OFFICE = mark("For the office alone: never said to a customer.")

CALCULATOR = Calculator(
    id="parts-cost",
    question=mark("What will this repair cost, to the customer and to us?"),
    summary=mark("Parts, labour, call-out, discount and tax; for the office also margin and markup."),
    fields=(
        Field("lines", mark("Parts"), "list", mark("One line for each part."), most=60, row_title=mark("Line"), fields=(
            Field("part", mark("Part"), "text", mark("Its number or its name.")),
            Field("description", mark("Description"), "text", mark("What the customer knows it as.")),
            Field("quantity", mark("Quantity"), "decimal", mark("How many, or how many metres."), low=0, high=1e6,
                  above=True, default=1, what=mark("a quantity")),
            _money("price", mark("Price of one"), mark("The price list's, before any discount.")),
            _money("cost", mark("Cost of one"), _OFFICE, private=True),
            _percent("discount", mark("Discount"), mark("On this line alone."), default=0))),
        Field("labour_hours", mark("Labour"), "decimal", mark("Hours of work, to the nearest quarter."), unit="h", low=0,
              high=1000, what=mark("a number of hours")),
        _money("labour_rate", mark("Rate an hour"), mark("Price of one hour of work."), machine="handbook.labour_rate"),
        _money("call_out", mark("Call-out"), mark("Price of coming out; never discounted."), machine="handbook.call_out"),
        _percent("discount", mark("Discount on parts and labour"), mark("Taken after a line's own discount."), default=0),
        _percent("tax_rate", mark("Tax rate"), mark("Of the whole repair."), required=True, machine="handbook.tax_rate"),
        Field("tax_on", mark("Tax worked out on"), "choice", mark("Rounded once, or once for each line."),
              default="total", choices=(("total", mark("the total")), ("line", mark("each line")))),
        Field("prices_include_tax", mark("Prices include tax"), "flag",
              mark("Yes: the tax is taken out and the sum to pay stays."), default=False),
        _percent("target_margin", mark("Target margin"), _OFFICE, high=99, private=True),
        Field("currency", mark("Currency"), "choice", mark("Three letters of ISO 4217."), default="EUR",
              machine="handbook.currency", choices=tuple((code, code) for code in CURRENCIES)),
        Field("audience", mark("For"), "choice", mark("The office sees cost, margin and markup as well."),
              default="customer", choices=(("customer", mark("the customer")), ("office", mark("the office")))),
    ),
    figures=(
        Figure("gross", mark("to pay, with tax"), kind="decimal"),
        Figure("net", mark("without tax"), kind="decimal"),
        Figure("tax", mark("tax"), kind="decimal"),
        Figure("parts", mark("parts, without tax"), kind="decimal"),
        Figure("labour", mark("labour, without tax"), kind="decimal", minor=True),
        Figure("call_out", mark("call-out, without tax"), kind="decimal", minor=True),
        Figure("cost", mark("cost to us"), kind="decimal", office=True),
        Figure("margin_share", mark("margin, of the price"), show="%", decimals=1, office=True),
        Figure("markup_share", mark("markup, on the cost"), show="%", decimals=1, office=True),
    ),
    outcomes=(("priced", mark("priced")), ("below-cost", mark("below cost"))),
    tables=(Table("lines", mark("Lines, without tax"), (
        Figure("description", mark("description")), Figure("part", mark("part")), Figure("quantity", mark("quantity")),
        Figure("price", mark("price of one"), kind="decimal"), Figure("discount", mark("discount"), kind="decimal"),
        Figure("net", mark("net"), kind="decimal"))),),
    run=_run,
    # A blade and a hose of the ride-on with the 90 cm squeegee; numbers and prices are invented.
    example={"lines": [{"part": "NQ-2090", "description": "Rear blade, 90 cm", "quantity": 1, "price": "34.50"},
                       {"part": "NQ-3201", "description": "Recovery hose, 38 mm", "quantity": 1, "price": "48.00",
                        "discount": 10}],
             "labour_hours": "0.75", "labour_rate": "58.00", "call_out": "45.00", "tax_rate": 20, "currency": "EUR"},
    examples=(
        ("for the office", {"lines": [{"part": "rear blade 90 cm", "quantity": 2, "price": "34.50", "cost": "19.80",
                                       "discount": 10}], "tax_rate": 20, "audience": "office"}),
        ("below cost", {"lines": [{"part": "hose", "price": "20", "cost": "25"}], "tax_rate": 20, "audience": "office"}),
        ("price from margin", {"lines": [{"part": "cap", "cost": "100"}], "target_margin": 25, "tax_rate": 20,
                               "audience": "office"}),
        ("price from margin, for the customer", {"lines": [{"part": "cap", "cost": "100"}], "target_margin": 25,
                                                 "tax_rate": 20}),
        ("tax in the price", {"lines": [{"part": "blade", "price": "9.99", "quantity": 3}], "tax_rate": "8.25",
                              "prices_include_tax": True}),
        ("tax on each line", {"lines": [{"part": p, "price": "9.99"} for p in "abc"], "tax_rate": "8.25",
                              "tax_on": "line", "currency": "USD"}),
        ("no digits after the point", {"lines": [{"part": "blade", "price": "5180"}], "labour_hours": "1,5",
                                       "labour_rate": 8700, "discount": 5, "tax_rate": 10, "currency": "JPY"}),
        ("no price", {"lines": [{"part": "blade"}], "tax_rate": 20}),
        ("hours without a rate", {"labour_hours": 1, "tax_rate": 20}),
        ("nothing to price", {"tax_rate": 20}),
    ),
    formulas=(mark("line = quantity × price × (1 − discount), rounded"), mark("tax = net × rate, rounded"),
              mark("tax = gross × rate/(100 + rate), rounded"), mark("tax = sum of each line's tax, rounded"),
              mark("gross = net + tax")),
    limits=(mark("One tax rate for the whole repair."),
            mark("The discount on parts and labour is not on the call-out."),
            mark("Rounded half away from zero, at the currency's own digits.")),
    sources=(mark("EN 16931, BR-CO-17, for tax on the total; ISO 4217 for the digits."),),
    lookup=Lookup(mark("Tax and total at the handbook's tax rate"), mark("net price"), tuple(
        (f"{amount:.2f}", {"lines": [{"part": "part", "price": f"{amount:.2f}"}], "labour_hours": None, "call_out": None})
        for amount in (10, 20, 50, 100, 150, 200, 300, 500)), ("tax", "gross")),
)
