"""What will this repair cost, to the customer and to us?

Each line: ``net = round(quantity * price * (1 - discount))``; labour: ``round(hours * rate)``. The overall
discount is taken from parts and labour, line by line, never from the call-out. Tax on the total is
``round(net * rate)`` for the one tax rate (EN 16931, BR-CO-17: category net times rate, rounded); tax per
line rounds each line's tax and adds them. Where prices include tax it is taken out of each amount and the
gross stays as it was. Rounding is half away from zero at the currency's digits.

For the office also ``margin = (net - cost) / net`` and ``markup = (net - cost) / cost`` over the lines whose
cost is known. For the customer no cost, margin or markup appears anywhere.
"""

from dataclasses import dataclass
from decimal import Decimal

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
    title: str
    quantity: Decimal
    price: Decimal
    discount: Decimal
    amount: Decimal  # as priced: with tax where prices include it
    cost: Decimal | None


def _run(v: dict) -> Result:
    office = v["audience"] == "office"
    lines = _lines(v, office)
    if not lines:
        raise Refused([Refusal("lines", _("nothing"), _("at least one line, labour hours or a call-out"))])
    currency = v["currency"].upper()
    nets, taxes, gross = _totals(lines, v, currency)
    net = sum(nets, ZERO)
    parts = sum((n for n, line in zip(nets, lines, strict=True) if line.kind == "part"), ZERO)
    labour = sum((n for n, line in zip(nets, lines, strict=True) if line.kind == "labour"), ZERO)
    call_out = sum((n for n, line in zip(nets, lines, strict=True) if line.kind == "call-out"), ZERO)
    tax = gross - net
    result = Result("priced", _("{gross} {currency} with tax, {net} without.").format(
        gross=written(gross), net=written(net), currency=currency))
    for name, amount in (("gross", gross), ("net", net), ("tax", tax), ("parts", parts), ("labour", labour),
                         ("call_out", call_out)):
        result.figures[name] = (rounded(amount, currency), currency)
    result.tables["lines"] = [{
        "line": line.title, "quantity": _plain(line.quantity), "price": _plain(line.price),
        "discount": f"{_plain(line.discount)} %" if line.discount else None, "net": str(rounded(n, currency)),
    } for line, n in zip(lines, nets, strict=True)]
    result.workings = _workings(lines[0], nets[0], net, tax, taxes, v, currency)
    result.notes = _notes(v)
    if office:
        _office(result, lines, nets, net, currency)
    result.picture = picture(parts, labour, call_out, tax, gross, currency)
    return result


def _lines(v: dict, office: bool) -> list[Line]:
    lines, refusals = [], []
    currency = v["currency"].upper()
    for number, row in enumerate(v["lines"]):
        path = f"lines/{number}"
        title = row["description"] or row["part"]
        if not title:
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
        lines.append(Line("part", title or "", row["quantity"], price, _joined(row["discount"], v["discount"]), amount,
                          cost))
    if v["labour_hours"]:
        if v["labour_rate"] is None:
            refusals.append(Refusal("labour_rate", _("nothing"), _("a rate when labour hours are given")))
        else:
            amount = rounded(less(money.times(v["labour_hours"], v["labour_rate"]), v["discount"]), currency)
            lines.append(Line("labour", _("labour, hours"), v["labour_hours"], v["labour_rate"], v["discount"], amount,
                              None))
    if v["call_out"]:
        lines.append(Line("call-out", _("call-out"), Decimal(1), v["call_out"], ZERO, rounded(v["call_out"], currency),
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


def _workings(line: Line, line_net: Decimal, net: Decimal, tax: Decimal, taxes: list[Decimal], v: dict,
              currency: str) -> list[Working]:
    minus = f" × (1 − {_plain(line.discount)} %)" if line.discount else ""
    made = [Working(_("line = quantity × price × (1 − discount), rounded"),
                    f"{_plain(line.quantity)} × {written(line.price)}{minus}", written(line.amount))]
    rate = _plain(v["tax_rate"])
    if v["prices_include_tax"]:
        made.append(Working(_("tax = gross × rate/(100 + rate), rounded"), f"{written(net + tax)} × {rate}/(100 + {rate})",
                            written(tax)))
    elif taxes:
        made.append(Working(_("tax = sum of each line's tax, rounded"),
                            " + ".join(written(t) for t in taxes[:6]) + (" + …" if len(taxes) > 6 else ""), written(tax)))
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


def _office(result: Result, lines: list[Line], nets: list[Decimal], net: Decimal, currency: str) -> None:
    """Cost, margin and markup: for the office alone."""
    known = [(line.cost, n) for line, n in zip(lines, nets, strict=True) if line.cost is not None]
    if not known:
        result.notes.append(_("No cost was given, so there is no margin."))
        return
    cost = rounded(sum((c for c, _net in known), ZERO), currency)
    sold = sum((n for _cost, n in known), ZERO)
    result.figures["cost"] = (cost, currency)
    if sold:
        result.figures["margin_share"] = float((sold - cost) / sold)
    if cost:
        result.figures["markup_share"] = float((sold - cost) / cost)
    if len(known) < sum(line.kind == "part" for line in lines):
        result.notes.append(_("Margin and markup are over the lines whose cost is known."))
    if sold < cost:
        result.outcome = "below-cost"
        result.answer = _("Below cost: the parts cost us {cost} {currency} and bring {sold}. {said}").format(
            cost=written(cost), sold=written(sold), currency=currency, said=result.answer)


def _money(name: str, title: str, help: str = "", **more) -> Field:
    return Field(name, title, "decimal", help, **{"low": 0, "high": 1e9, "what": mark("an amount"), **more})


def _percent(name: str, title: str, help: str = "", **more) -> Field:
    return Field(name, title, "decimal", help, **{"unit": "%", "low": 0, "high": 100, "what": mark("a percentage"),
                                                  **more})


_OFFICE = mark("For the office: never shown to a customer.")

CALCULATOR = Calculator(
    id="parts-cost",
    question=mark("What will this repair cost, to the customer and to us?"),
    summary=mark("Parts, labour, call-out, discount and tax; for the office also margin and markup."),
    fields=(
        Field("lines", mark("Parts"), "list", mark("One line for each part."), most=60, row_title=mark("Line"), fields=(
            Field("part", mark("Part"), "text", mark("Its number or its name.")),
            Field("description", mark("Description"), "text"),
            Field("quantity", mark("Quantity"), "decimal", low=0, high=1e6, above=True, default=1,
                  what=mark("a quantity")),
            _money("price", mark("Price of one")),
            _money("cost", mark("Cost of one"), _OFFICE),
            _percent("discount", mark("Discount"), default=0))),
        Field("labour_hours", mark("Labour"), "decimal", unit="h", low=0, high=1000, what=mark("a number of hours")),
        _money("labour_rate", mark("Rate an hour"), machine="handbook.labour_rate"),
        _money("call_out", mark("Call-out"), mark("Never discounted."), machine="handbook.call_out"),
        _percent("discount", mark("Discount on parts and labour"), default=0),
        _percent("tax_rate", mark("Tax rate"), required=True, machine="handbook.tax_rate"),
        Field("tax_on", mark("Tax worked out on"), "choice", default="total",
              choices=(("total", mark("the total")), ("line", mark("each line")))),
        Field("prices_include_tax", mark("Prices include tax"), "flag", default=False),
        _percent("target_margin", mark("Target margin"), _OFFICE, high=99),
        Field("currency", mark("Currency"), "choice", mark("ISO 4217."), default="EUR", machine="handbook.currency",
              choices=tuple((code, code) for code in sorted({
                  *money.DIGITS, "AED", "AUD", "BRL", "CAD", "CHF", "CNY", "CZK", "DKK", "EUR", "GBP", "HKD", "HUF",
                  "IDR", "ILS", "INR", "MXN", "MYR", "NOK", "NZD", "PHP", "PLN", "RON", "SAR", "SEK", "SGD", "THB",
                  "TRY", "TWD", "USD", "ZAR"}))),
        Field("audience", mark("For"), "choice", default="customer",
              choices=(("customer", mark("the customer")), ("office", mark("the office")))),
    ),
    figures=(
        Figure("gross", mark("to pay, with tax"), kind="decimal"),
        Figure("net", mark("without tax"), kind="decimal"),
        Figure("tax", mark("tax"), kind="decimal"),
        Figure("parts", mark("parts, without tax"), kind="decimal"),
        Figure("labour", mark("labour, without tax"), kind="decimal", minor=True),
        Figure("call_out", mark("call-out, without tax"), kind="decimal", minor=True),
        Figure("cost", mark("cost to us"), kind="decimal"),
        Figure("margin_share", mark("margin, of the price"), show="%", decimals=1),
        Figure("markup_share", mark("markup, on the cost"), show="%", decimals=1),
    ),
    outcomes=(("priced", mark("priced")), ("below-cost", mark("below cost"))),
    tables=(Table("lines", mark("Lines"), (
        Figure("line", mark("line")), Figure("quantity", mark("quantity")), Figure("price", mark("price of one")),
        Figure("discount", mark("discount")), Figure("net", mark("net")))),),
    run=_run,
    example={"lines": [{"part": "rear blade 90 cm", "quantity": 1, "price": "34.50"},
                       {"part": "recovery hose", "quantity": 1, "price": "48.00"}],
             "labour_hours": "0.75", "labour_rate": "58.00", "call_out": "45.00", "tax_rate": 20, "currency": "EUR"},
    examples=(
        ("for the office", {"lines": [{"part": "rear blade 90 cm", "quantity": 2, "price": "34.50", "cost": "19.80",
                                       "discount": 10}], "tax_rate": 20, "audience": "office"}),
        ("below cost", {"lines": [{"part": "hose", "price": "20", "cost": "25"}], "tax_rate": 20, "audience": "office"}),
        ("price from margin", {"lines": [{"part": "cap", "cost": "100"}], "target_margin": 25, "tax_rate": 20,
                               "audience": "office"}),
        ("tax in the price", {"lines": [{"part": "blade", "price": "9.99", "quantity": 3}], "tax_rate": "8.25",
                              "prices_include_tax": True}),
        ("tax on each line", {"lines": [{"part": p, "price": "9.99"} for p in "abc"], "tax_rate": "8.25",
                              "tax_on": "line", "currency": "USD"}),
        ("no price", {"lines": [{"part": "blade"}], "tax_rate": 20}),
    ),
    formulas=(mark("line = quantity × price × (1 − discount), rounded"), mark("tax = net × rate, rounded"),
              mark("margin = (price − cost)/price; markup = (price − cost)/cost")),
    limits=(mark("One tax rate for the whole repair."),
            mark("Rounded half away from zero, at the currency's own digits.")),
    sources=(mark("EN 16931, BR-CO-17, for tax on the total; ISO 4217 for the digits."),),
    lookup=Lookup(mark("Tax and total at the handbook's tax rate"), mark("net price"), tuple(
        (f"{amount:.2f}", {"lines": [{"part": "part", "price": f"{amount:.2f}"}], "labour_hours": None, "call_out": None})
        for amount in (10, 20, 50, 100, 150, 200, 300, 500)), ("tax", "gross")),
)
