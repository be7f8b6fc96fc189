"""Recomputes every row of the circuit and raceway schedules of a design from its text and the tables.

    python3 recompute_schedules.py DESIGN.toml TABLES_FOLDER < wire.json

Reads the design with the TOML reader of the standard library and the tables as data files, and shares no code with the
program: circuits, currents, sizes by the three tests, devices, grounds, drops and fills are worked out anew and held
against the machine form of the schedules on standard input. Prints one line for each value that differs, then how many
were compared, and ends with 1 when any differs.

Rules: NEC 2023 110.14(C), 240.4, 240.6, 250.122, 310.15, 310.16, 690.8, 690.9, 690.45, 706.30 and chapter 9, or
IEC 60364-5-52, 60364-4-43 433.1, 60364-5-54 543.1 and IEC 62548, by what the design names. Tables: their own heads.
"""

import csv
import json
import re
import sys
import tomllib
from math import cos, inf, radians, sin

DESIGN, FOLDER = sys.argv[1], sys.argv[2]
design = tomllib.load(open(DESIGN, "rb"))
given = json.load(sys.stdin)
SAME = 1e-9


def table(name):
    with open(f"{FOLDER}/{name}.csv", encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def quantity(text, unit):
    """A number of the text in the unit."""
    number, word = re.fullmatch(r"([-−+]?[\d.,]+(?: ×10\^\d+)?)\s*(.*)", text.replace(" k", " k")).groups()
    value = float(number.replace(",", "").replace("−", "-"))
    scale = {
        ("A", "A"): 1, ("kA", "A"): 1000, ("V", "V"): 1, ("W", "W"): 1, ("kW", "W"): 1000, ("VA", "W"): 1,
        ("kVA", "W"): 1000, ("m", "m"): 1, ("cm", "m"): 0.01, ("mm", "m"): 0.001, ("ft", "m"): 0.3048,
        ("in", "m"): 0.0254, ("%", "1"): 0.01,
    }
    if unit == "C":
        return value if word == "°C" else (value - 32) / 1.8
    return value * scale[word, unit]


def listed(key):
    return design.get(key, [])


def named(key, name):
    return next((thing for thing in listed(key) if thing["name"] == name), None)


def area_of(size):
    """Circular mils, for order and proportion by the definition of the gauge."""
    number, unit = size.rsplit(" ", 1)
    if unit == "kcmil":
        return float(number) * 1000
    if unit == "mm²":
        return float(number) / 5.067074790974977e-4
    n = 1 - int(number[:-2]) if number.endswith("/0") else int(number)
    return (5 * 92 ** ((36 - n) / 39)) ** 2


if design["place"]["rules"] not in ("nec-2023", "iec-60364"):
    sys.exit("only NEC 2023 and IEC 60364 are recomputed here")
METRIC = design["place"]["rules"] == "iec-60364"

# ---- circuits that follow from what names what -----------------------------------------------------------------------

circuits = []


def join(name_from, name_to, **facts):
    facts |= {"name": f"{name_from} to {name_to}", "from": name_from, "to": name_to}
    circuits.append(facts)


def unit_part(unit):
    for kind in ("inverter", "controller"):
        if kind in unit:
            return kind, design[kind][unit[kind]]
    raise ValueError(unit)


def pv(strings, own):
    string = strings[0]
    module = design["module"][string["module"]]
    into = string.get("into") or named("combiner", string["through"])["into"]
    key = lambda s: tuple((s.get("into") or named("combiner", s["through"])["into"]).get(k, 1) for k in ("unit", "input"))
    on_input = sum(key(s) == key(string) for s in listed("string"))
    _, part = unit_part(named("unit", into["unit"]))
    feed = part["pv_input"][into.get("input", 1) - 1].get("back_feed", "unknown")
    isc, imp = quantity(module["isc"], "A"), quantity(module["imp"], "A")
    flow = None if feed == "unknown" else (on_input - own) * 1.25 * isc + quantity(feed, "A")
    fuse = quantity(module["series_fuse"], "A")
    if flow is None:
        others = (on_input - own) * 1.25 * isc
        needed = True if (others > fuse if own == 1 else others > 0) else None
    else:
        needed = flow > 0 and (own > 1 or flow > fuse * (1 + SAME))
    maximum = 1.25 * own * isc
    continuous = 1.25 * maximum
    if METRIC and own == 1:
        continuous = 1.5 * isc
    elif METRIC:
        continuous = maximum
    return dict(kind="pv", maximum=maximum, continuous=continuous, operating=own * imp,
                volts=string["count"] * quantity(module["vmp"], "V"), flow=flow, needed=needed, conductors=2, carrying=2, poles=2)


def continuous_of(amps):
    return amps if METRIC else 1.25 * amps


for string in listed("string"):
    to = string["into"]["unit"] if "into" in string else string["through"]
    join(string["name"], to, **pv([string], 1))
for combiner in listed("combiner"):
    inside = [s for s in listed("string") if s.get("through") == combiner["name"]]
    join(combiner["name"], combiner["into"]["unit"], **pv(inside, len(inside)))

for bank in listed("bank"):
    battery = design["battery"][bank["battery"]]
    hanging = [u for u in listed("unit") if u.get("bank") == bank["name"]]
    low = [bank.get("series", 1) * quantity(battery["cut_off"], "V")]
    low += [quantity(unit_part(u)[1]["battery_range"][0], "V") for u in hanging if "inverter" in u]
    dc = dict(kind="dc", volts=max(low), conductors=2, carrying=2, poles=1)

    def battery_circuit(a, b, amps):
        join(a, b, maximum=amps, operating=amps, continuous=continuous_of(amps), **dc)

    for n in range(1, bank["parallel"] + 1):
        currents = [quantity(battery["current"][k], "A") for k in ("charge", "discharge")]
        battery_circuit(f"{bank['name']} {n}", bank["name"], max(currents))
    for unit in hanging:
        kind, part = unit_part(unit)
        if kind == "controller":
            battery_circuit(unit["name"], bank["name"], quantity(part["charge"], "A"))
            continue
        at_full = list(part["efficiency"].values())[-1]
        drawn = quantity(part["output"], "W") / (max(low) * quantity(at_full, "1"))
        battery_circuit(bank["name"], unit["name"], max(drawn, quantity(part["charge"], "A")))


def across(word):
    return {"120": 120, "120/240": 240, "230": 230}[word]


def output_amps(unit):
    part = design["inverter"][unit["inverter"]]
    return quantity(part["output"], "W") / across(part["volts"])


def supply(source, to, volts, main):
    split = volts == "120/240"
    ac = dict(kind="ac", volts=across(volts))
    wires = lambda split: dict(zip(("conductors", "carrying", "poles"), (3, 2, 2) if split else (2, 2, 1)))
    unit, panel, engine = named("unit", source), named("panel", source), named("engine", source)
    if unit:
        part = design["inverter"][unit["inverter"]]
        through = quantity(part.get("passes_through", "0 A"), "A") if "ac_input" in unit else 0
        amps = max(output_amps(unit), through)
        join(source, to, maximum=amps, operating=amps, continuous=continuous_of(amps),
             **(ac | {"volts": across(part["volts"])}), **wires(part["volts"] == "120/240"))
    elif panel and all(named("unit", name) for name in panel["fed_by"]):
        legs = {}
        for unit in map(lambda name: named("unit", name), panel["fed_by"]):
            legs.setdefault(unit.get("leg", "both"), []).append(output_amps(unit))
        amps = max(map(sum, legs.values()))
        join(source, to, maximum=amps, operating=amps, continuous=continuous_of(amps), **ac, **wires(split))
    elif engine:
        part = design["generator"][engine["generator"]]
        amps = quantity(part["output"], "W") / across(part["volts"])
        join(source, to, maximum=amps, operating=amps, continuous=continuous_of(amps),
             **(ac | {"volts": across(part["volts"])}), **wires(split))
    else:
        transfer = named("transfer", source)
        amps = quantity(transfer["rating"] if transfer else main or design["utility"]["service"], "A")
        join(source, to, maximum=amps, operating=amps, continuous=amps, device=amps, **ac, **wires(split))


for panel in listed("panel"):
    for source in panel["fed_by"]:
        supply(source, panel["name"], panel["volts"], panel.get("main"))
for transfer in listed("transfer"):
    fed = next(p for p in listed("panel") if transfer["name"] in p["fed_by"])
    for source in transfer["from"]:
        supply(source, transfer["name"], fed["volts"], transfer["rating"])
for unit in listed("unit"):
    if "ac_input" in unit:
        part = design["inverter"][unit["inverter"]]
        supply(unit["ac_input"], unit["name"], part["volts"], part.get("passes_through"))


def run_of(circuit):
    banks = {bank["name"] for bank in listed("bank")}
    plain = lambda end: re.sub(r" \d+$", "", end) if re.sub(r" \d+$", "", end) in banks and end not in banks else end
    ends = sorted(map(plain, (circuit["from"], circuit["to"])))
    for run in listed("run"):
        if "between" in run and sorted(run["between"]) == ends:
            return run
    return next((run for run in listed("run") if circuit["from"] in run.get("carries", [])), None)


for circuit in circuits:
    circuit["run"] = run_of(circuit)
    circuit["sets"] = 1

# ---- tables ----------------------------------------------------------------------------------------------------------

AMPACITY = {(r["size"], r["material"]): r for r in table("ampacity_310_16")}
RATINGS = sorted(float(r["amps"]) for r in table("standard_ratings_iec" if METRIC else "standard_ratings_240_6_a")
                 if r["device"] in ("both", "breaker"))
SMALL = {(r["size"], r["material"]): float(r["device_a"]) for r in table("small_conductors_240_4_d")}
GROUND = [(float(r["device_a"]), r["copper"]) for r in table("equipment_ground_250_122")]
TABLE_8 = [r for r in table("conductors_chapter_9_table_8") if r["construction"] == "stranded"]
OHM = {r["size"]: float(r["copper"]) / 304.8 for r in TABLE_8}
BUNDLING = table("adjustment_310_15_c1")
AMBIENT = table("ambient_310_15_b1")
INSULATION_AREA = {(r["type"], r["size"]): float(r["area_in2"]) for r in table("conductors_chapter_9_table_5")}
PV_AREA = {r["size"]: float(r["area_in2"]) for r in table("pv_wire_estimate")}
RACEWAYS = table("raceways_chapter_9_table_4")
SIZES = [s for s in dict.fromkeys(r["size"] for r in table("ampacity_310_16"))
         if area_of("14 AWG") * (1 - SAME) <= area_of(s) <= area_of("500 kcmil") * (1 + SAME)]
IEC = {(r["insulation"], r["loaded"], r["method"], r["size"]): float(r["amps"]) for r in table("ampacity_iec_60364_5_52")}
IEC_SIZES = sorted({key[3] for key in IEC}, key=area_of)
IEC_AMBIENT = table("ambient_iec_60364_5_52")
IEC_GROUP = {int(r["circuits"]): float(r["factor"]) for r in table("grouping_iec_60364_5_52") if r["arrangement"] == "bunched"}
IEC_OHM = {r["size"]: float(r["copper2"]) / 1000 for r in table("resistance_iec_60228")}


def next_rating(amps):
    return next(r for r in RATINGS if r >= amps * (1 - SAME))


def insulation_of(run):
    return run.get("insulation", "pv wire" if run.get("carries") else "thwn-2")


def ambient_of(part):
    if "hottest" in part:
        return quantity(part["hottest"], "C")
    room = named("room", part.get("room"))
    if room and "between" in room:
        return quantity(room["between"][1], "C")
    if "hottest" in design["place"]:
        return quantity(design["place"]["hottest"]["value"], "C")
    return hot_of_nearest_station()


def hot_of_nearest_station():
    """Air temperature exceeded 2 % of the year at the nearest place of the climate table."""
    point = lambda lat, lon: (cos(radians(lat)) * cos(radians(lon)), cos(radians(lat)) * sin(radians(lon)), sin(radians(lat)))
    here = point(design["place"]["latitude"], design["place"]["longitude"])
    away = lambda row: sum((a - b) ** 2 for a, b in zip(here, point(float(row["lat"]), float(row["lon"]))))
    return float(min(table("climate_normals"), key=away)["t_high_2pct_c"])


def wet(part):
    return part["where"] != "indoors"


# ---- one circuit -----------------------------------------------------------------------------------------------------


def sharing(run):
    return [c for c in circuits if c["run"] is run]


def is_nipple(route, k):
    part = route[k]
    others = [route[j].get("raceway") for j in (k - 1, k + 1) if 0 <= j < len(route)]
    short = quantity(part["length"], "m") <= 0.6096 * (1 + SAME)
    if part["raceway"] == "open":
        return short and "open" not in others
    return short and all(other not in (None, part["raceway"]) for other in others)


def segment_factor(circuit, k):
    route = circuit["run"]["route"]
    part = route[k]
    celsius = ambient_of(part)
    if part["where"] == "on a roof" and part["raceway"] != "open" and insulation_of(circuit["run"]) != "xhhw-2":
        if quantity(part["above_roof"], "m") / 0.0254 < 0.875 - 1e-6:
            celsius += 33
    row = next(r for r in AMBIENT if celsius <= float(r["to_c"]) + 1e-6)
    n = sum(c["carrying"] * (c["sets"] if part["raceway"] == "open" else 1) for c in sharing(circuit["run"]))
    n = 1 if is_nipple(route, k) else n
    bundle = next(r for r in BUNDLING if int(r["least"]) <= n and (r["most"] == "" or n <= int(r["most"])))
    # Every insulation a design can name is rated 90 °C, dry and wet.
    return float(row["f90"]) * float(bundle["percent"]) / 100


def guard_of(circuit):
    run = circuit["run"]
    device = run and run.get("device")
    if device and device.get("rating", "unknown") != "unknown":
        return quantity(device["rating"], "A"), True
    if circuit.get("needed") is False:
        return circuit["flow"], False
    return circuit.get("device") or next_rating(circuit["continuous"]), True


def carries(circuit, size, sets):
    """Whether a size passes the three tests, and with the drop target."""
    run = circuit["run"]
    metal = run.get("material", "copper")
    row = AMPACITY.get((size, metal))
    if row is None:
        return False, False
    column = {"60 °C": "a60", "75 °C": "a75", "90 °C": "a90"}.get(run.get("terminals"))
    column = column or ("a60" if circuit["continuous"] <= 100 * (1 + SAME) else "a75")
    terminal = float(row[column] or 0) * sets
    inside = [float(row["a90"]) * segment_factor(circuit, k) * sets for k in range(len(run["route"]))]
    protected = min([terminal, *inside])
    guard, is_device = guard_of(circuit)
    reaches = lambda have, need: have >= need * (1 - SAME)
    holds = reaches(protected, guard)
    if is_device:
        limit = SMALL.get((size, metal), inf)
        holds = reaches(limit, guard) and (holds or guard <= 800 and next_rating(protected) >= guard * (1 - SAME))
    passes = reaches(terminal, circuit["continuous"]) and all(reaches(a, circuit["maximum"]) for a in inside) and holds
    return passes, passes and drop_holds(circuit, OHM[size], sets)


def length_of(run):
    return sum(quantity(part["length"], "m") for part in run["route"])


def drop_of(circuit, ohm, sets):
    return 2 * length_of(circuit["run"]) * ohm * circuit["operating"] / sets


def drop_holds(circuit, ohm, sets):
    target = circuit["run"].get("drop_target")
    return target is None or drop_of(circuit, ohm, sets) / circuit["volts"] <= quantity(target, "1") * (1 + SAME)


def nec(circuit):
    top = area_of("4/0 AWG" if circuit["kind"] == "dc" else "500 kcmil") * (1 + SAME)
    least = area_of("10 AWG") * (1 - SAME) if circuit["kind"] == "pv" else 0
    tried = [(s, n) for n in range(1, 7) for s in SIZES
             if area_of(s) <= top and (n == 1 or area_of(s) >= area_of("1/0 AWG") * (1 - SAME))]
    sufficient = next(t for t in tried if carries(circuit, *t)[0])
    found = next(t for t in tried if area_of(t[0]) >= least and carries(circuit, *t)[1])
    fixed = circuit["run"].get("conductor")
    size, sets = (fixed, 1) if fixed else found
    circuit["sets"] = max(circuit["sets"], sets)
    guard, is_device = guard_of(circuit)
    device = guard if is_device else next_rating(circuit["continuous"])
    ground = next(s for a, s in GROUND if a >= device * (1 - SAME))
    have, need = area_of(size) * sets, area_of(sufficient[0]) * sufficient[1]
    if have > need * (1 + SAME) and circuit["kind"] != "pv":
        mils = {r["size"]: float(r["cmil"]) for r in TABLE_8}
        wanted = mils[ground] * mils[size] * sets / (mils[sufficient[0]] * sufficient[1])
        ground = next(s for s in sorted(mils, key=mils.get) if mils[s] >= wanted * (1 - SAME))
    if area_of(ground) > area_of(size):
        ground = size
    return dict(conductor=size, sets=sets, required=found[0], ground=ground, ohm=OHM[size])


def iec_carries(circuit, size, sets):
    run = circuit["run"]
    kind = "pvc70" if insulation_of(run) == "thwn-2" else "xlpe90"
    least, least_table = inf, inf
    for part in run["route"]:
        opened = part["raceway"] == "open"
        method = "D1" if part["where"] == "underground" else "C" if opened else "B1"
        amps = IEC.get((kind, str(min(max(circuit["carrying"], 2), 3)), method, size))
        if amps is None:
            return False
        celsius = max(ambient_of(part), 60) if part["where"] == "on a roof" else ambient_of(part)
        medium = "ground" if method == "D1" else "air"
        rows = [r for r in IEC_AMBIENT if r["medium"] == medium and r[kind]]
        factor = next(float(r[kind]) for r in rows if celsius <= float(r["celsius"]) + 1e-6)
        group = IEC_GROUP[len(sharing(run)) - 1 + (sets if opened else 1)]
        least, least_table = min(least, amps * factor * group * sets), min(least_table, amps * sets)
    guard, is_device = guard_of(circuit)
    device = run.get("device")
    fused = "breaker" not in device.get("kind", "unknown") if device else circuit["kind"] == "dc"
    if is_device and fused and circuit["kind"] != "pv":
        # A gG fuse lets I2 = k · In pass, and I2 may be 1.45 · Iz.
        guard *= (2.1 if guard <= 4 else 1.9 if guard < 16 else 1.6) / 1.45
    need = max(circuit["maximum"], guard)
    ohm = IEC_OHM[size] * (1 + 0.004 * 55)
    return least >= need * (1 - SAME) and least_table >= circuit["maximum"] * (1 - SAME) and drop_holds(circuit, ohm, sets)


def iec(circuit):
    least = "4 mm²" if circuit["kind"] == "pv" else "1.5 mm²"
    top = "120 mm²" if circuit["kind"] == "dc" else "240 mm²"
    tried = [(s, n) for n in range(1, 5) for s in IEC_SIZES
             if area_of(least) * (1 - SAME) <= area_of(s) <= area_of(top) * (1 + SAME)
             and (n == 1 or area_of(s) >= area_of("50 mm²") * (1 - SAME))]
    found = next(t for t in tried if iec_carries(circuit, *t))
    size, sets = (circuit["run"]["conductor"], 1) if "conductor" in circuit["run"] else found
    mm2 = float(size.split()[0])
    # Half of a line conductor above 35 mm², and the next size that is made.
    ground = size if mm2 <= 16 else "16 mm²" if mm2 <= 35 else next(s for s in IEC_SIZES if float(s.split()[0]) >= mm2 / 2)
    return dict(conductor=size, sets=sets, required=found[0], ground=ground, ohm=IEC_OHM[size] * (1 + 0.004 * 55))


# ---- against the schedules -------------------------------------------------------------------------------------------

compared = 0
differ = []


def same(where, what, ours, theirs):
    global compared
    compared += 1
    if isinstance(ours, float) and isinstance(theirs, (int, float)):
        if abs(ours - theirs) <= 1e-7 * max(1e-9, abs(ours)):
            return
    elif ours == theirs:
        return
    differ.append(f"{where}: {what}: here {ours}, in the schedule {theirs}")


rows = {row["name"]: row for row in given["circuits"]}
same("schedule", "circuits", sorted(c["name"] for c in circuits), sorted(rows))
work = [c for c in circuits if c["run"] is not None]
# Circuits that cannot be given a size for a fact that is missing or forbidden are named by the schedule with none.
refused = [c for c in work if rows.get(c["name"], {}).get("conductor") is None]
work = [c for c in work if c not in refused]
for _ in range(4):
    for circuit in work:
        circuit |= {}
        circuit["row"] = (iec if METRIC else nec)(circuit)

for circuit in work:
    row, ours, name = rows[circuit["name"]], circuit["row"], circuit["name"]
    same(name, "maximum current", float(circuit["maximum"]), row["maximum_a"])
    same(name, "continuous current", float(circuit["continuous"]), row["continuous_a"])
    same(name, "operating current", float(circuit["operating"]), row["operating_a"])
    same(name, "conductor", ours["conductor"], row["conductor"])
    same(name, "in parallel", ours["sets"], row["sets"])
    same(name, "smallest that passes", ours["required"], row["required_conductor"])
    same(name, "ground", ours["ground"], row["ground"])
    same(name, "length", float(length_of(circuit["run"])), row["length_m"])
    drop = drop_of(circuit, ours["ohm"], ours["sets"])
    same(name, "drop", float(drop), row["drop_v"])
    same(name, "drop as a share", float(drop / circuit["volts"] * 100), row["drop_pct"])
    same(name, "poles", circuit["poles"], row["poles"])
    if circuit["kind"] == "pv":
        same(name, "device needed", circuit["needed"], row["device_needed"])
    if circuit.get("needed") is not False:
        same(name, "device", float(guard_of(circuit)[0]), row["device_a"])

TYPES = {"thwn-2": "THHN/THWN-2", "xhhw-2": "XHHW-2", "rhw-2 use-2": "RHH/RHW/RHW-2 without outer covering"}
KINDS = {"emt": "EMT", "fmc": "FMC", "lfmc": "LFMC", "lfnc-b": "LFNC-B", "rmc": "RMC", "pvc-40": "PVC-40", "pvc-80": "PVC-80"}


def wire_area(run, size):
    kind = insulation_of(run)
    return PV_AREA[size] if kind == "pv wire" else INSULATION_AREA[TYPES[kind], size]


filled = 0
for row in given["raceways"]:
    run = named("run", row["run"])
    part = run["route"][row["part"] - 1]
    inside = [c for c in work if c["run"] is run]
    if METRIC or part["raceway"] == "open" or len(inside) != len(sharing(run)):
        continue
    wires = [(c["row"]["conductor"], c["conductors"]) for c in inside]
    wires.append((max((c["row"]["ground"] for c in inside), key=area_of), 1))
    area, count = sum(wire_area(run, s) * n for s, n in wires), sum(n for _, n in wires)
    share = 60 if is_nipple(run["route"], row["part"] - 1) else 53 if count == 1 else 31 if count == 2 else 40
    for candidate in (r for r in RACEWAYS if r["raceway"] == KINDS[part["raceway"]]):
        fill = area / float(candidate["total_in2"]) * 100
        if fill <= share * (1 + SAME):
            break
    filled += 1
    where = f"{row['run']}, part {row['part']}"
    same(where, "trade size", candidate["trade_size"], row["trade_size"])
    same(where, "fill", float(fill), row["fill_pct"])

print(*differ, sep="\n")
print(f"{compared} values of {len(work)} circuits and {filled} raceways compared, {len(refused)} circuits without a size")
sys.exit(1 if differ else 0)
