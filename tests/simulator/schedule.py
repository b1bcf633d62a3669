"""Draw a schedule from a seed: the shape of the world, and its steps.

Whole sessions are frequent and faults rare, and each seed leaves some classes of faults
out: evenly drawn steps were measured to miss five of twelve broken exchanges.
"""

from random import Random

# Which classes of faults a seed may hold; "net" is a line that fails, "die" a program.
FAULTS = {
    "net": 0.6, "tear": 0.4, "die": 0.5, "restore": 0.45, "restore tablet": 0.3,
    "clone": 0.25, "lose": 0.3, "skew": 0.4, "stick": 0.35, "cursor": 0.25, "old": 0.4,
}
HOW = {"net": ("lost", "mute", "twice"), "tear": ("torn", "flipped"), "die": ("early", "late", "away")}
SHORTEST, LONGEST = 12, 45


def draw(seed: int) -> tuple[dict, list[tuple]]:
    """Give the shape of a world and the steps of a schedule."""
    chance = Random(seed)
    shape = draw_shape(chance)
    on = {name for name, share in FAULTS.items() if chance.random() < share}
    weights = weigh(on, shape)
    names = list(weights)
    length = chance.randint(SHORTEST, LONGEST)
    picked = chance.choices(names, [weights[name] for name in names], k=length)
    return shape, [draw_step(chance, name, on, shape) for name in picked]


def draw_shape(chance: Random) -> dict:
    """Draw who is there: tablets with the stations they reach, and who reports to whom."""
    stations = ["S0", "S1"] if chance.random() < 0.3 else ["S0"]
    parents = dict.fromkeys(stations, "H") if chance.random() < 0.75 else {}
    if parents and chance.random() < 0.4:
        parents["H"] = "N"
    nodes = [*stations, *dict.fromkeys(parents.values())]
    paths = {}
    for number in range(chance.choice((2, 2, 3))):
        own = chance.choice(stations)
        others = [name for name in nodes if name not in (own, "N")]
        paths[f"T{number}"] = [own, *others] if chance.random() < 0.3 else [own]
    return {"nodes": nodes, "parents": parents, "paths": paths}


def weigh(on: set[str], shape: dict) -> dict[str, float]:
    """Give the weight of each kind of step."""
    weights = {"write": 30, "flush": 4, "session": 22, "say": 2, "begin": 4, "step": 16}
    if shape["parents"]:
        weights |= {"relay": 18, "say_down": 2}
    if "die" in on:
        weights["crash"] = 4
    if on & {"restore", "restore tablet"}:
        weights |= {"backup": 5, "restore": 4}
    if "restore" in on:
        weights["fire"] = 1.5
    if "clone" in on:
        weights["clone"] = 1.5
    if "lose" in on:
        weights["lose"] = 2
    if "skew" in on:
        weights["skew"] = 3
    if "stick" in on:
        weights |= {"stick": 4, "import": 4}
    if "cursor" in on:
        weights["wrong_cursor"] = 3
    if "old" in on:
        weights["again"] = 6
    return weights


def draw_step(chance: Random, name: str, on: set[str], shape: dict) -> tuple:
    """Draw one step of a kind."""
    tablets, nodes = list(shape["paths"]), shape["nodes"]
    tablet, number = chance.choice(tablets), chance.randrange(6)
    how = draw_how(chance, on)
    match name:
        case "write":
            return name, tablet, number, chance.random() < 0.75
        case "flush" | "lose":
            return name, tablet
        case "session":
            return name, tablet, number, chance.randrange(5), how
        case "begin":
            return name, tablet, number
        case "step" | "again":
            return name, chance.randrange(MANY), how
        case "relay":
            return name, chance.choice(list(shape["parents"])), chance.randrange(7), how
        case "say_down":
            return name, chance.choice(list(shape["parents"]))
        case "crash":
            return name, chance.choice(tablets + nodes)
        case "backup":
            return name, chance.choice(restorable(on, shape))
        case "fire":
            return name, chance.choice(nodes)
        case "restore":
            return name, chance.choice(restorable(on, shape)), chance.random() < 0.5
        case "clone":
            return name, *chance.sample(tablets, 2)
        case "skew":
            return name, chance.choice(tablets + nodes), chance.randint(-900_000, 900_000)
        case "stick":
            return name, tablet
        case "import":
            return name, number, chance.choice(nodes), chance.randrange(MANY), how
        case "wrong_cursor":
            return name, tablet, number, chance.randrange(4)
        case "say":
            return name, chance.choice(nodes)
    raise KeyError(name)


MANY = 1000


def restorable(on: set[str], shape: dict) -> list[str]:
    """List what a seed may restore from a backup."""
    stations = shape["nodes"] if "restore" in on else []
    tablets = list(shape["paths"]) if "restore tablet" in on else []
    return stations + tablets


def draw_how(chance: Random, on: set[str]) -> str:
    """Draw how one request goes; most go well."""
    ways = [way for fault, many in HOW.items() if fault in on for way in many]
    return chance.choice(ways) if ways and chance.random() < 0.35 else "ok"
