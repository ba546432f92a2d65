"""Writes the racks of racks.jsonl, each with its best layout by an exact solver.

    pip install highspy
    python3 tests/arithmetic/racks.py > tests/arithmetic/racks.jsonl

The model knows nothing of benchway's search. A board is crosscut into sections, each
as long as one of the blanks; in a section strips lie side by side, each with blanks of
one part end to end. How many sections of each kind a board has is a whole number, and
together with their kerfs they are no longer than the board. Sizes are in eighths of an
inch, and so are the marks, both kerfs (1), the trim of each end (8) and the edge (2).
"""

import json
import random

import highspy

KERF, TRIM, EDGE = 1, 8, 2
SECONDS = 60


def rack(seed):
    """Boards of 6 to 12 ft by 5 to 10 in, and 3 to 6 parts that take a third to most of them."""
    chance = random.Random(seed)
    parts, count = chance.randint(3, 6), chance.randint(4, 10)
    # Drawn and not used: the racks stay those that were solved.
    [(chance.randint(576, 1152) // 2, chance.randint(40, 80)) for _ in range(count)]
    boards = [(chance.randint(576, 1152), chance.randint(40, 80)) for _ in range(count)]
    if chance.random() < 0.25:
        for at in range(1, count):
            if chance.random() < 0.4:
                boards[at] = boards[at - 1]
    taken = chance.choice([0.35, 0.5, 0.65, 0.75, 0.82])
    area = sum(length * width for length, width in boards) * taken
    sizes = [(chance.randint(96, 400), chance.randint(12, 36)) for _ in range(parts)]
    shares = [chance.uniform(0.3, 1) for _ in sizes]
    extra = chance.random() < 0.3
    needs = []
    for (length, width), share in zip(sizes, shares):
        blanks = max(1, round(area * share / sum(shares) / (length * width)))
        spare, setup = int(extra and blanks > 2), int(extra and blanks > 3)
        needs.append((length, width, blanks - spare - setup, spare, setup))
    return boards, needs


def strips_side_by_side(width, strips):
    """Every way to fill a width with strips so that none of them fits beside the others."""
    found = []

    def fill(at, left, chosen):
        if at == len(strips):
            if chosen and all(wide + KERF > left for _, _, wide in strips):
                found.append(tuple(chosen))
            return
        part, count, wide = strips[at]
        for times in range(left // (wide + KERF), -1, -1):
            more = [(part, count * times)] if times else []
            fill(at + 1, left - times * (wide + KERF), chosen + more)

    fill(0, width - EDGE + KERF, [])
    return found


def sections(length, width, needs):
    """The kinds of section a board can have: how long each is and what it gives."""
    shortest = {}
    for long in sorted({need[0] for need in needs if need[0] <= length - 2 * TRIM}):
        strips = [
            (part, (long + KERF) // (need[0] + KERF), need[1])
            for part, need in enumerate(needs)
            if need[0] <= long and need[1] <= width - EDGE
        ]
        for given in strips_side_by_side(width, strips):
            shortest.setdefault(given, long)
    return [(long, given) for given, long in shortest.items()]


def solved(boards, needs):
    """As much as possible from as few board feet as possible, sets before spares."""
    solver = highspy.Highs()
    for option, value in [("output_flag", False), ("threads", 1), ("mip_rel_gap", 0.0),
                          ("mip_abs_gap", 1e-6), ("time_limit", float(SECONDS))]:
        solver.setOptionValue(option, value)
    feet = [length * width / 64 / 144 for length, width in boards]
    is_cut = [solver.addBinary() for _ in boards]
    gives = [[] for _ in needs]
    for at, (length, width) in enumerate(boards):
        room = length - 2 * TRIM + KERF
        taken = []
        for long, given in sections(length, width, needs):
            times = solver.addIntegral(lb=0, ub=room // (long + KERF))
            taken.append((long + KERF) * times)
            for part, count in given:
                gives[part].append(count * times)
        if taken:
            solver.addConstr(sum(taken[1:], taken[0]) <= room * is_cut[at])
        alike = [other for other in range(at) if boards[other] == boards[at]]
        if alike:
            solver.addConstr(is_cut[alike[-1]] >= is_cut[at])
    missing = [[solver.addIntegral(lb=0, ub=count) for count in need[2:]] for need in needs]
    for need, of, without in zip(needs, gives, missing):
        solver.addConstr(sum(of, without[0] + without[1] + without[2]) >= sum(need[2:]))
    spare = sum(need[4] for need in needs) + 1
    weights = [spare * (sum(need[3] for need in needs) + 1), spare, 1]
    cost = sum(wood * cut for wood, cut in zip(feet, is_cut))
    lacking = sum((w * m for of in missing for w, m in zip(weights, of)), 0 * is_cut[0])
    solver.minimize(cost + (sum(feet) + 1) * lacking)
    values = solver.getSolution().col_value
    of = lambda variable: round(values[variable.index])
    opened = [at for at, cut in enumerate(is_cut) if of(cut)]
    return {
        "missing": [sum(of(lost[role]) for lost in missing) for role in range(3)],
        "opened": opened,
        "board_feet": round(sum(feet[at] for at in opened), 6),
        "proved": solver.modelStatusToString(solver.getModelStatus()) == "Optimal",
    }


if __name__ == "__main__":
    for seed in range(1, 201):
        boards, needs = rack(seed)
        answer = {"rack": seed, "boards": boards, "needs": needs, **solved(boards, needs)}
        print(json.dumps(answer), flush=True)
