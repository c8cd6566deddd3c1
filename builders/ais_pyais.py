"""AIS sentences and what pyais reads in them.

    ais_pyais.py OUT.json             invented messages of every kind that is read, whole and damaged
    ais_pyais.py OUT.json LINES.nmea  what pyais reads in recorded lines, counted and summed

The messages are drawn field by field, a third of the fields at an edge of their range or at the value for "not
available", and packed by pyais's own encoder. Damaged ones have bits turned over, cut off or added; pyais then reads
whatever is left. Each case is a line: the sentences, the kind, and the values of the fields that the head of the file
lists for the kind, as pyais gives them (degrees, knots, metres; enumerations by number). A case that pyais refuses has
the name of its exception in place of the kind.

Of recorded lines each kind has the count of its messages, and for each field how many had one and the sum of them: of
numbers, of the truth of flags, of the characters of words.
"""

import json
import random
import sys

import pyais
from pyais.encode import ais_to_nmea_0183
from pyais.messages import MSG_CLASS

HEAD = ["msg_type", "repeat", "mmsi"]
SIZE = ["to_bow", "to_stern", "to_port", "to_starboard"]
MOVING = ["speed", "accuracy", "lon", "lat", "course"]
FIELDS = {
    "A": HEAD + ["status", "turn"] + MOVING + ["heading", "second", "maneuver", "raim"],
    "4": HEAD + "year month day hour minute second accuracy lon lat epfd raim".split(),
    "5": HEAD
    + ["imo", "callsign", "shipname", "ship_type"]
    + SIZE
    + "epfd month day hour minute draught destination".split(),
    "9": HEAD + ["alt"] + MOVING + ["second", "raim"],
    "14": HEAD + ["text"],
    "18": HEAD + MOVING + ["heading", "second", "raim"],
    "19": HEAD + MOVING + ["heading", "second", "shipname", "ship_type"] + SIZE + ["epfd", "raim"],
    "21": HEAD
    + ["aid_type", "name", "accuracy", "lon", "lat"]
    + SIZE
    + ["epfd", "second", "off_position", "raim", "virtual_aid", "name_ext"],
    "24A": HEAD + ["partno", "shipname"],
    "24B": HEAD + ["partno", "ship_type", "vendorid", "callsign"] + SIZE,
    "24M": HEAD + ["partno", "ship_type", "vendorid", "callsign", "mothership_mmsi"],
    "27": HEAD + ["accuracy", "raim", "status", "lon", "lat", "speed", "course", "gnss"],
    "other": HEAD,
}
LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 .-/'&?"


def kind_of(message):
    number = message.msg_type
    if number in (1, 2, 3):
        return "A"
    if number == 24:
        return "24A" if message.partno == 0 else "24M" if hasattr(message, "mothership_mmsi") else "24B"
    return str(number) if str(number) in FIELDS else "other"


def read(sentences):
    try:
        message = pyais.decode(*sentences)
    except Exception as error:  # whatever it says is what it says
        return [sentences, type(error).__name__, None]
    kind = kind_of(message)
    values = message.asdict(enum_as_int=True)
    return [sentences, kind, [values.get(field) for field in FIELDS[kind]]]


def either(draw, edges, usual):
    return draw.choice(edges) if draw.random() < 1 / 3 else usual()


def words(draw, most):
    return either(
        draw, ["", "A" * most, "A" * (most - 1)], lambda: "".join(draw.choices(LETTERS, k=draw.randint(1, most))).strip()
    )


def degrees(draw, half, unit, unknown):
    edges = [0.0, half, -half, half - unit, -half + unit, unknown]
    return either(draw, edges, lambda: draw.randint(int(-half / unit), int(half / unit)) * unit)


def turn(draw):
    def rate():
        code = draw.randint(-126, 126)
        return (1 if 0 < code else -1) * (code / 4.733) ** 2

    return either(draw, [0, 127, -127, -128, 720.0, -720.0], rate)


def drawn(draw, number):
    """All fields of a message, by pyais's names."""
    long_range = number == 27
    unit = 1 / 600 if long_range else 1 / 600000
    whole = lambda *edges, most: either(draw, [0, *edges, most], lambda: draw.randint(0, most))
    fast = 62 if long_range else 1022 if number == 9 else 102.2
    step = 1 if number in (9, 27) else 10
    boat = draw.random() < 0.2
    return {
        "msg_type": number,
        "repeat": draw.randint(0, 3),
        "mmsi": 980_000_000 + draw.randint(0, 9_999_999) if boat else whole(1, most=979_999_999),
        "status": draw.randint(0, 15),
        "turn": turn(draw),
        "speed": either(draw, [0, fast, fast + 1 / step], lambda: draw.randint(0, int(fast * step)) / step),
        "accuracy": draw.random() < 0.5,
        "lon": degrees(draw, 180, unit, 181),
        "lat": degrees(draw, 90, unit, 91),
        "course": draw.randint(0, 359) if long_range else either(draw, [0, 359.9, 360], lambda: draw.randint(0, 3599) / 10),
        "heading": either(draw, [0, 359, 511], lambda: draw.randint(0, 359)),
        "second": either(draw, [0, 59, 60, 61, 62, 63], lambda: draw.randint(0, 59)),
        "maneuver": draw.randint(0, 3),
        "raim": draw.random() < 0.5,
        "radio": draw.randint(0, 2**19 - 1),
        "year": whole(1970, 2026, most=9999),
        "month": whole(12, most=12),
        "day": whole(28, 29, 30, most=31),
        "hour": whole(23, 24, most=24),
        "minute": whole(59, 60, most=60),
        "epfd": draw.randint(0, 15),
        "imo": whole(most=9_999_999),
        "callsign": words(draw, 7),
        "shipname": words(draw, 20),
        "ship_type": draw.randint(0, 99),
        "to_bow": whole(0, most=511),
        "to_stern": whole(0, most=511),
        "to_port": whole(0, most=63),
        "to_starboard": whole(0, most=63),
        "draught": whole(most=255) / 10,
        "destination": words(draw, 20),
        "alt": whole(4094, most=4095),
        "text": words(draw, draw.randint(2, 150)),
        "aid_type": draw.randint(0, 31),
        "name": words(draw, 20),
        "name_ext": words(draw, 14),
        "off_position": draw.random() < 0.5,
        "virtual_aid": draw.random() < 0.5,
        "partno": draw.randint(0, 1),
        "vendorid": words(draw, 3),
        "mothership_mmsi": whole(most=999_999_999),
        "gnss": draw.random() < 0.5,
    }


def sentences_of(draw, bits):
    """A row of noughts and ones as sentences."""
    fill = -len(bits) % 6
    padded = bits + "0" * fill
    six = [int(padded[i : i + 6], 2) for i in range(0, len(padded), 6)]
    payload = "".join(chr(v + 48 if v < 40 else v + 56) for v in six)
    return ais_to_nmea_0183(payload, "AI", "VDM", draw.choice("AB"), fill, seq_id=draw.randint(0, 9))


def row(sentences):
    """The noughts and ones of sentences."""
    row = ""
    for sentence in sentences:
        fields = sentence.split(",")
        for character in fields[5]:
            v = ord(character) - 48
            row += f"{v - 8 if 40 < v else v:06b}"
        fill = int(fields[6].split("*")[0])
        row = row[: len(row) - fill]
    return row


def damaged(draw, bits):
    way = draw.randrange(4)
    if way == 0:
        return bits[: draw.randint(39, len(bits))]
    if way == 1:
        return bits + "".join(draw.choices("01", k=draw.randint(1, 60)))
    many = draw.choice([1, 3, 30]) if way == 2 else len(bits)
    turned = list(bits)
    for at in draw.choices(range(8, len(bits)), k=many):
        turned[at] = draw.choice("01")
    return "".join(turned)


def invented(draw):
    for number in (1, 2, 3, 4, 5, 9, 14, 18, 19, 21, 24, 27):
        for _ in range(120):
            values = drawn(draw, number)
            message = MSG_CLASS[number].create(**values)
            payload, fill = message.encode()
            head = dict(talker_id="AI", sentence_type="VDM", radio_channel=draw.choice("AB"))
            sentences = ais_to_nmea_0183(payload, fill_bits=fill, seq_id=draw.randint(0, 9), **head)
            yield read(sentences)
            yield read(sentences_of(draw, damaged(draw, row(sentences))))
    for number in sorted(set(range(1, 28)) - {1, 2, 3, 4, 5, 9, 14, 18, 19, 21, 24, 27}):
        for _ in range(8):
            bits = f"{number:06b}{draw.randrange(4):02b}{draw.randrange(10**9):030b}"
            bits += "".join(draw.choices("01", k=draw.randint(0, 400)))
            yield read(sentences_of(draw, bits))


def recorded(path):
    """Parts follow each other in the recording; what lacks a part is left out."""
    waiting = {}
    for line in open(path, encoding="ascii"):
        line = line.strip()
        if line[3:6] not in ("VDM", "VDO"):
            continue
        _, count, number, sequence, channel = line.split(",")[:5]
        if count == "1":
            yield read([line])
            continue
        parts = waiting.setdefault((count, sequence), [])
        if number == "1":
            parts.clear()
        parts.append(line)
        if number == count:
            if len(parts) == int(count):
                yield read(list(parts))
            parts.clear()


def summed(cases):
    kinds = {}
    for _, kind, values in cases:
        sums = kinds.setdefault(kind, {"count": 0, "sums": {}})
        sums["count"] += 1
        for field, value in zip(FIELDS.get(kind, []), values or []):
            if value is not None:
                had, total = sums["sums"].get(field, (0, 0))
                number = len(value) if isinstance(value, str) else value
                sums["sums"][field] = had + 1, round(total + number, 6)
    return dict(sorted(kinds.items()))


def main():
    out, *lines = sys.argv[1:]
    made_with = f"pyais {pyais.__version__}, builders/ais_pyais.py"
    with open(out, "w", encoding="ascii") as file:
        if lines:
            json.dump({"made_with": made_with, "kinds": summed(recorded(lines[0]))}, file, indent=1)
            file.write("\n")
            return
        head = json.dumps({"made_with": made_with, "fields": FIELDS})
        cases = (json.dumps(case, separators=(",", ":")) for case in invented(random.Random(20261125)))
        file.write(head[:-1] + ', "cases": [\n' + ",\n".join(cases) + "\n]}\n")


main()
