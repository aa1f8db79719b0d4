"""A calc sheet of random amounts in random units, rounded in every way, for the hard recalculation.

Usage: rounding.py > FILE.csv

The seed is fixed, so that the sheet is the same each time. Amounts come in one unit and are priced in another: a live
formula that rounded before it changed the unit would come to other cents. Python's standard library only.
"""

import csv
import random
import sys

UNITS = {
    "length": ["ft", "inch", "m", "yd", "mm"],
    "area": ["sf", "sy", "m2"],
    "volume": ["cy", "cf", "m3"],
    "weight": ["lb", "kip", "ton", "kg", "tonne"],
}
SHOWN = {"inch": "in"}
STEPS = {"length": "0.5.ft", "area": "1.sf", "volume": "0.5.cy", "weight": "100.lb"}


def quantity(number, unit):
    return f'q("{number} {unit}")'


def main():
    chance = random.Random(20261126)
    out = csv.writer(sys.stdout)
    out.writerow(["what", "name", "unit", "formula"])
    for n in range(60):
        kind = chance.choice(sorted(UNITS))
        one, other, shown = (chance.choice(UNITS[kind]) for _ in range(3))
        one, other, shown = (SHOWN.get(unit, unit) for unit in (one, other, shown))
        amount = round(chance.uniform(1, 5000), chance.randint(0, 4))
        price = round(chance.uniform(0.01, 400), chance.randint(1, 4))
        share = chance.randint(1, 40)
        out.writerow(["amount", f"a{n}", one, quantity(amount, one)])
        out.writerow(["price", f"p{n}", f"usd/{other}", quantity(price, f"usd/{other}")])
        out.writerow(["to the cent", f"c{n}", "usd", f"to_cent(a{n} * p{n})"])
        out.writerow(["share of it", f"s{n}", "usd", f"to_cent(a{n} * p{n} * {share}.percent)"])
        out.writerow(["rounded up", f"u{n}", shown, f"round_up(a{n} * 1.{share:02}, {STEPS[kind]})"])
        out.writerow(["rounded down", f"d{n}", shown, f"round_down(a{n}, {STEPS[kind]})"])
        out.writerow(["to the nickel", f"k{n}", "usd", f"round_near(a{n} * p{n}, 0.05.usd)"])
        out.writerow(["up, then priced", f"x{n}", "usd", f"to_cent(round_up(a{n}, {STEPS[kind]}) * p{n} + c{n})"])


if __name__ == "__main__":
    main()
