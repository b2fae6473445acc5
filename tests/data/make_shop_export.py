#!/usr/bin/env python3
"""Writes the sample shop exports beside this script: shop-export.csv and shop-export-damaged.csv.

Everything in them is invented. The same files come out of every run: the numbers are drawn by
the small generator below and not by the library's, whose sequences may change.
"""

import datetime
import pathlib

HERE = pathlib.Path(__file__).parent
FIRST_DAY = datetime.date(2025, 5, 2)
LAST_DAY = datetime.date(2026, 10, 20)
STRINGS = 300

# Our name and the shop's header, in the shop's order; None: a column of no use to us.
COLUMNS = [
    ("order_ref", "Bestellung"),
    ("serial", "Etikett-Nr"),
    ("sold_on", "Kaufdatum"),
    ("delivered_on", "Zugestellt am"),
    (None, "Versandart"),
    ("archer", "Besteller"),
    ("email", "Mailadresse"),
    ("bow_kind", "Bogenart"),
    ("bow_marked_length", "Bogenmaß (Aufschrift)"),
    ("bow_nock_to_nock", "Kerbe zu Kerbe"),
    ("draw_weight_lb", "Zuggewicht"),
    ("brace_low", "Standhöhe von"),
    ("brace_high", "Standhöhe bis"),
    ("tips", "Spitzen"),
    ("stave", "Bogenkörper"),
    ("bow_year", "Baujahr"),
    ("route", "Maßweg"),
    ("stated_measure", "Angegebenes Maß"),
    ("offset", "Abzug"),
    ("ordered_length", "Sehnenlänge bestellt"),
    ("built_length", "Sehnenlänge gebaut"),
    ("yarn", "Garn"),
    ("strands", "Stränge"),
    ("plies", "Litzen"),
    ("lay", "Drall"),
    ("turns", "Windungen"),
    ("spool", "Spule"),
    ("maker", "Gefertigt von"),
    ("silencers", "Dämpfer"),
    ("price", "Preis"),
    ("old_yarn", "Garn der alten Sehne"),
    ("old_measured", "Alte gemessen"),
    (None, "Gutscheincode"),
]

FIRST_NAMES = [
    "Odalind", "Wystan", "Perpetua", "Isembard", "Thessaly", "Corbinian", "Ludmira", "Anselmo",
    "Brunhilde", "Quillon", "Fenella", "Ottokar", "Marzena", "Hyacinth", "Rurik", "Sidonie",
]
LAST_NAMES = [
    "Quarrie", "Thistledown", "Oakapple", "van der Nock", "Federkiel", "Mossbarrow", "Pijlenstaart",
    "Wickenthorn", "Holderquast", "Larkhurst", "Garnwickel-Au", "Bramblecott", "Eibenstock", "O'Fletch",
]
HOSTS = ["example.org", "example.net", "example.com"]

# Share of strings, marked bow lengths, draw weights, brace range about the middle of 66 in.
KINDS = {
    "recurve": (24, [58, 60, 62, 64, 66], (25, 55), (7.5, 8.25)),
    "long-riser": (18, [66, 68, 70], (22, 44), (8.5, 9.25)),
    "longbow": (20, [64, 66, 68, 70], (30, 60), (6.0, 7.0)),
    "reflex-deflex": (16, [60, 62, 64, 66], (30, 55), (6.5, 7.5)),
    "selfbow": (12, [62, 66, 68, 72], (25, 65), (5.0, 6.5)),
    "horsebow": (5, [48, 50, 52, 54], (25, 45), (6.5, 7.5)),
    "unknown": (5, [60, 62, 66, 68], (30, 45), (7.0, 8.0)),
}
ROUTES = {"marked": 34, "nock-to-nock": 16, "old-string": 22, "bow-maker": 10, "worked-out": 10, "repeat": 8}
YARNS = {"polyester": 38, "hmpe": 30, "hmpe-lcp": 16, "linen": 8, "unknown": 8}
SPOOLS = {"polyester": "P", "hmpe": "H", "hmpe-lcp": "B", "linen": "L"}
SPELLINGS = {
    "reflex-deflex": ["reflex-deflex", "Reflex Deflex", "reflex_deflex"],
    "long-riser": ["long-riser", "Long Riser", "LONG-RISER"],
    "old-string": ["old-string", "Old String", "old_string"],
    "nock-to-nock": ["nock-to-nock", "Nock to nock", "NOCK-TO-NOCK"],
    "bow-maker": ["bow-maker", "Bow Maker"],
    "worked-out": ["worked-out", "worked out"],
    "hmpe-lcp": ["hmpe-lcp", "HMPE LCP", "hmpe_lcp"],
    "hmpe": ["hmpe", "HMPE"],
}


class Draw:
    """A linear congruential generator (the constants of Knuth's MMIX)."""

    def __init__(self, seed):
        self.state = seed

    def below(self, limit):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2**64
        return (self.state >> 33) % limit

    def chance(self, percent):
        return self.below(100) < percent

    def one_of(self, things):
        return things[self.below(len(things))]

    def by_share(self, shares):
        at = self.below(sum(shares.values()))
        for thing, share in shares.items():
            if at < share:
                return thing
            at -= share
        raise AssertionError("shares do not add up")


def mixed(inches, denominator):
    """A mixed number of whole inches and a reduced fraction: (62, "1/2")."""
    parts = round(inches * denominator)
    whole, rest = divmod(parts, denominator)
    while rest and rest % 2 == 0:
        rest, denominator = rest // 2, denominator // 2
    return whole, f"{rest}/{denominator}" if rest else ""


VULGAR = {"1/2": "½", "1/4": "¼", "3/4": "¾", "1/8": "⅛", "3/8": "⅜", "5/8": "⅝", "7/8": "⅞"}


def length(draw, inches):
    """One of the ways in which people write a length of whole eighths of an inch."""
    whole, fraction = mixed(inches, 8)
    decimal = f"{whole + fraction_value(fraction):g}"
    way = draw.below(12)
    if way < 3:
        return f"{whole} {fraction}".strip()
    if way == 3:
        return f'{whole} {fraction}"'.replace(' "', '"')
    if way == 4:
        return f"{whole}-{fraction} in" if fraction else f"{whole} in"
    if way == 5:
        return f"{whole}{VULGAR[fraction]}″" if fraction else f"{whole}″"
    if way == 6:
        return decimal.replace(".", ",")
    if way == 7:
        return f"{decimal} inch"
    if way == 8 and whole >= 48:
        return f"{whole // 12}' {whole % 12} {fraction}".strip() + '"'
    if way == 9:
        return f"{inches * 25.4:.0f}mm"
    return f"{inches * 2.54:.1f} cm".replace(".", draw.one_of([".", ","]))


def fraction_value(fraction):
    above, _, below = fraction.partition("/")
    return int(above) / int(below) if below else 0.0


def date(draw, day):
    way = draw.below(4)
    if way == 0:
        return day.strftime("%d.%m.%Y")
    if way == 1:
        return day.isoformat() + f" {8 + draw.below(12):02}:{draw.below(60):02}"
    return day.isoformat()


def spelled(draw, word):
    return draw.one_of(SPELLINGS.get(word, [word, word, word.capitalize()]))


def person(draw):
    first, last = draw.one_of(FIRST_NAMES), draw.one_of(LAST_NAMES)
    local = f"{first}.{last}".lower().replace(" ", "").replace("'", "")
    name = f"{first} {last}"
    way = draw.below(12)
    if way == 0:
        name = f"{last}; {first}"
    elif way == 1:
        name = f'{first} "{first[:3]}" {last}'
    elif way == 2:
        name = f"{last}, {first}"
    return name, f"{local}@{draw.one_of(HOSTS)}"


def eighth(inches):
    return round(inches * 8) / 8


def row(draw, number):
    """One string sold, by our column names."""
    span = (LAST_DAY - FIRST_DAY).days
    sold = FIRST_DAY + datetime.timedelta(days=number * span // (STRINGS - 1))
    kind = draw.by_share({kind: figures[0] for kind, figures in KINDS.items()})
    _, marks, weights, brace = KINDS[kind]
    route = draw.by_share(ROUTES)
    if kind == "horsebow" and route in ("marked", "nock-to-nock"):
        route = "old-string"
    yarn = draw.by_share(YARNS)
    mark = draw.one_of(marks)
    offset = 4.0 if kind in ("recurve", "long-riser") else 3.0
    name, email = person(draw)
    values = {
        "order_ref": f"WS-{10400 + 3 * number}" if draw.chance(92) else "",
        "serial": f"T-{number + 1:04}",
        "sold_on": date(draw, sold),
        "delivered_on": date(draw, sold + datetime.timedelta(days=2 + draw.below(6))) if draw.chance(95) else "",
        "archer": name,
        "email": email if draw.chance(90) else "",
        "bow_kind": spelled(draw, kind) if kind != "unknown" or draw.chance(50) else "",
        "route": spelled(draw, route),
        "yarn": spelled(draw, yarn) if yarn != "unknown" or draw.chance(50) else "",
    }
    nock_to_nock = mark + draw.one_of([-0.25, 0.0, 0.0, 0.25])
    if route == "marked" or draw.chance(60):
        values["bow_marked_length"] = length(draw, mark)
    if route == "nock-to-nock" or draw.chance(15):
        values["bow_nock_to_nock"] = length(draw, nock_to_nock)
    if draw.chance(70):
        pounds = weights[0] + draw.below(weights[1] - weights[0] + 1)
        values["draw_weight_lb"] = draw.one_of([f"{pounds}", f"{pounds} lb", f"{pounds}#@28", f"{pounds} lbs @ 28\""])
    if draw.chance(45):
        shift = draw.one_of([-0.25, 0.0, 0.0, 0.25])
        values["brace_low"] = length(draw, brace[0] + shift)
        values["brace_high"] = length(draw, brace[1] + shift)
    if draw.chance(50):
        values["tips"] = spelled(draw, draw.one_of(["reinforced", "reinforced", "plain", "unknown"]))
    if draw.chance(50):
        values["stave"] = "wood" if kind == "selfbow" else draw.one_of(["laminated", "Laminated", "wood"])
    if draw.chance(40):
        values["bow_year"] = str(draw.one_of([1974, 1988, 1996, 2008, 2015, 2019, 2022, 2024, 2025]))

    ordered = mark - offset
    if route == "marked":
        add_sizing(draw, values, float(mark), offset, ordered)
    elif route == "nock-to-nock":
        ordered = nock_to_nock - offset
        add_sizing(draw, values, nock_to_nock, offset, ordered)
    elif route == "old-string":
        ordered += draw.one_of([-0.5, -0.25, -0.125, 0.0, 0.0, 0.125, 0.25])
        add_sizing(draw, values, ordered, 0.0, ordered)
        values["old_yarn"] = spelled(draw, draw.by_share(YARNS)) if draw.chance(70) else ""
        values["old_measured"] = draw.one_of(["outside", "Outside", "inside", ""])
    elif route == "bow-maker":
        ordered += draw.one_of([-0.25, 0.0, 0.0, 0.25])
        values["ordered_length"] = length(draw, ordered)
        values["stated_measure"] = length(draw, ordered) if draw.chance(60) else ""
    else:
        ordered += draw.one_of([-0.25, -0.125, 0.0, 0.125, 0.25])
        values["ordered_length"] = length(draw, ordered)
    if draw.chance(80):
        values["built_length"] = length(draw, eighth(ordered + draw.one_of([-0.125, 0.0, 0.0, 0.0, 0.125])))

    plies = 3 if draw.chance(8) else 2
    strands = {"polyester": [12, 14, 16], "linen": [10, 12], "unknown": [12, 14]}.get(yarn, [14, 16, 18, 20])
    if draw.chance(88):
        values["strands"] = str(draw.one_of([12, 15, 18] if plies == 3 else strands))
    values["plies"] = str(plies) if plies == 3 or draw.chance(50) else ""
    values["lay"] = draw.one_of(["z", "Z", "right", "right-hand", ""]) if draw.chance(90) else draw.one_of(["s", "left"])
    # The workshop began to write the turns down in the winter of 2025.
    if draw.chance(85 if sold >= datetime.date(2025, 12, 1) else 20):
        turns = round((ordered - 15) * 0.5) + draw.below(7) - 3
        values["turns"] = draw.one_of([f"{turns}", f"{turns}", f"{turns} turns", f"{turns}.5"])
    if yarn != "unknown" and draw.chance(75):
        # A spool is of one yarn.
        values["spool"] = f"{SPOOLS[yarn]}{sold.year % 100}-{1 + (sold.month - 1) // 3}{draw.one_of('AB')}"
    values["maker"] = draw.one_of(["Thea", "Thea", "Joris", "Joris", "Bo", ""])
    values["silencers"] = draw.one_of(["yes", "x", "no", "no", "N", "0", "", ""])
    euros = 18 + draw.below(14)
    values["price"] = draw.one_of([f"{euros},50", f"{euros}.00", f"{euros},90 €", f"EUR {euros}"])
    return values


def add_sizing(draw, values, stated, offset, ordered):
    """Stated measure, offset and ordered length: all three, or the last left to be worked out."""
    values["stated_measure"] = length(draw, stated)
    if draw.chance(60):
        values["offset"] = draw.one_of([f"{offset:g}", f'{offset:g}"', f"{offset:g} in"])
    values["ordered_length"] = "" if draw.chance(12) else length(draw, ordered)


def quoted(value):
    if any(c in value for c in ';"\r\n'):
        return '"' + value.replace('"', '""') + '"'
    return value


def line(values):
    cells = []
    for place, (name, header) in enumerate(COLUMNS):
        if name is None:
            cells.append(values.get(header, ""))
        else:
            cells.append(values.get(name, ""))
    return ";".join(quoted(cell) for cell in cells) + "\r\n"


HEADER = ";".join(quoted(header) for _, header in COLUMNS) + "\r\n"


def sample():
    draw = Draw(1571)
    text = HEADER
    for number in range(STRINGS):
        values = row(draw, number)
        values["Versandart"] = draw.one_of(["Brief", "Paket", "Abholung"])
        values["Gutscheincode"] = f"NOCKTEST{draw.below(9)}" if draw.chance(6) else ""
        text += line(values)
        if number % 100 == 99:
            text += "\r\n"
    return text


GOOD = {
    "order_ref": "WS-9000", "sold_on": "2026-03-02", "delivered_on": "2026-03-05",
    "archer": "Odalind Quarrie", "email": "odalind.quarrie@example.org", "bow_kind": "recurve",
    "bow_marked_length": '66"', "draw_weight_lb": "40", "brace_low": "8", "brace_high": "9",
    "route": "marked", "stated_measure": "66", "offset": "4", "ordered_length": "62",
    "built_length": "62", "yarn": "hmpe", "strands": "16", "plies": "2", "lay": "z", "turns": "24",
    "spool": "H26-1A", "maker": "Thea", "silencers": "no", "price": "24,50",
}

# One fault a row; the first row of all is good, and so is the last.
FAULTS = [
    {},
    {"serial": ""},
    {"serial": "D-\a03"},
    {"sold_on": "31.02.2026"},
    {"sold_on": "2027-01-04", "delivered_on": ""},
    {"delivered_on": "2026-02-27"},
    {"email": "odalind at example.org"},
    {"bow_kind": "recuve"},
    {"bow_marked_length": "168"},
    {"draw_weight_lb": "0"},
    {"brace_low": "204"},
    {"brace_high": ""},
    {"brace_low": "9 1/2"},
    {"bow_year": "2062"},
    {"route": "by eye"},
    {"offset": "-4"},
    {"ordered_length": "63 1/2"},
    {"ordered_length": "", "stated_measure": ""},
    {"built_length": "58"},
    {"strands": "0"},
    {"plies": "4"},
    {"lay": "up"},
    {"turns": "240"},
    {"silencers": "perhaps"},
    {"price": "twenty"},
    {"archer": "Odalind\nQuarrie"},
    {"sold_on": "yesterday", "yarn": "silk", "turns": "-3"},
    {"serial": "d-0001", "strands": "18"},
    {"serial": "d-0001"},
    {},
]


def damaged():
    text = HEADER
    for number, fault in enumerate(FAULTS):
        text += line({"serial": f"D-{number + 1:04}", **GOOD, **fault})
    # A row cut short, and one with text behind a closing quote.
    text += "WS-9001;D-0101;2026-03-02\r\n"
    text += line({"serial": "D-0102", **GOOD}).replace("Odalind Quarrie", '"Odalind" Quarrie')
    return text


def write(name, text):
    (HERE / name).write_bytes(b"\xef\xbb\xbf" + text.encode("utf-8"))


write("shop-export.csv", sample())
write("shop-export-damaged.csv", damaged())
