"""The rota solved to the optimum, level by level (see `bot.core.tasks.rota`), by the CP-SAT solver of OR-Tools.

One thread, a fixed seed and a limit on deterministic work, not on time: the same problem gives the same rota on any
machine and in any order of its members. Heavy to import: run it in a worker process.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from itertools import pairwise
from math import ceil
from zoneinfo import ZoneInfo

from ortools.sat.python import cp_model

from bot.core.tasks.rota import Assignment, Duty, Helper, Problem, Solution
from bot.core.tasks.rota_rules import UNIT, eligible, have_turn_left, holders, missing, reasons, trouble, units, week_of

FEW = 400  # possible names up to which the heaviest burden is made light to the hundredth of a turn;
STEP = 25  # beyond, by quarters of a turn, below which evenness decides: exact, it would take seconds
EXACT = 2**52  # above it a whole number in the solver's answer may be rounded
MOST_SETS = 3000  # of the duties that one helper could have, up to which they are tried one by one
WORK_LIMIT = 8.0  # deterministic work for all levels together, in the solver's own unit, near a second each


@dataclass(frozen=True, slots=True)
class _Level:
    """Something to make as small as possible; no two rotas differ in it by more than the span."""

    cost: cp_model.LinearExpr
    span: int


Pairs = dict[tuple[int, int], cp_model.IntVar]
Costs = list[tuple[cp_model.IntVar, int]]


@dataclass(slots=True)
class _Rota:
    """The model while it is built and solved: who may do what, and the names chosen so far, by (duty, helper) id.

    able: the helpers a duty may have. mine: the duties a helper may have.
    before, weight: the helpers' burdens and the duties' weights, in hundredths of a turn. step: see STEP.
    """

    problem: Problem
    zone: ZoneInfo
    able: dict[int, list[Helper]]
    before: dict[int, int]
    weight: dict[int, int]
    left: float
    step: int = 1
    mine: dict[int, list[Duty]] = field(default_factory=dict)
    model: cp_model.CpModel = field(default_factory=cp_model.CpModel)
    pairs: Pairs = field(default_factory=dict)
    whole: dict[int, cp_model.IntVar] = field(default_factory=dict)
    proven: bool = True
    cost: int = 0
    chosen: frozenset[tuple[int, int]] = frozenset()


def solve(problem: Problem, work_limit: float = WORK_LIMIT) -> Solution:
    """The rota for the problem. Raises ValueError when an id is there twice."""
    rota = _build(_in_order(problem), work_limit)
    _cover(rota)
    _best(rota, [_kept(rota), _waiting(rota), _last(rota)])
    heaviest = _lightest_heaviest(rota)
    _cap(rota, rota.model, rota.pairs, heaviest)
    _best(rota, [_unevenness(rota, heaviest), _trouble(rota), *([_by_id(rota)] if rota.step == 1 else [])])
    return _answer(rota)


def _in_order(problem: Problem) -> Problem:
    for what, ids in (("duty", [d.id for d in problem.duties]), ("helper", [h.id for h in problem.helpers])):
        if len(set(ids)) != len(ids):
            raise ValueError(f"{what} ids {sorted(ids)} are not unique, expected each once")
    by_id = (tuple(sorted(problem.duties, key=lambda d: d.id)), tuple(sorted(problem.helpers, key=lambda h: h.id)))
    return Problem(problem.zone, *by_id)


def _build(problem: Problem, work_limit: float) -> _Rota:
    zone = ZoneInfo(problem.zone)
    rota = _Rota(
        problem,
        zone,
        able={duty.id: eligible(duty, problem.helpers, zone) for duty in problem.duties},
        before={helper.id: round(UNIT * helper.burden) for helper in problem.helpers},
        weight={duty.id: units(duty, zone) for duty in problem.duties},
        left=work_limit,
    )
    for duty in problem.duties:
        _add_duty(rota, duty)
    rota.step = 1 if len(rota.pairs) <= FEW else STEP
    for helper in problem.helpers:
        rota.mine[helper.id] = [duty for duty in problem.duties if (duty.id, helper.id) in rota.pairs]
        _add_helper(rota, helper)
    return rota


def _add_duty(rota: _Rota, duty: Duty) -> None:
    """No more people than it needs, with a key holder and one who knows how; all of them, or not `whole`."""
    able = rota.able[duty.id]
    pairs = {helper.id: rota.model.new_bool_var("") for helper in able}
    rota.pairs |= {(duty.id, helper_id): pair for helper_id, pair in pairs.items()}
    whole = rota.whole[duty.id] = rota.model.new_bool_var("")
    named = cp_model.LinearExpr.sum(list(pairs.values()))
    rota.model.add(named >= duty.need * whole)
    rota.model.add(named <= (duty.need * whole if duty.together else duty.need))
    for having in holders(duty, able):
        ids = [helper.id for helper in having]
        rota.model.add(cp_model.LinearExpr.sum([pairs[each] for each in ids]) >= whole)
        for helper_id in [] if duty.together else sorted(pairs.keys() - set(ids)):
            rota.model.add_bool_or([pairs[helper_id].negated(), *(pairs[each] for each in ids)])


def _add_helper(rota: _Rota, helper: Helper) -> None:
    """Never at two duties at once, nor more often a week than they wish."""
    mine = rota.mine[helper.id]
    for now in mine:
        at_once = [duty for duty in mine if duty.starts_at <= now.starts_at < duty.ends_at]
        rota.model.add_at_most_one(rota.pairs[duty.id, helper.id] for duty in at_once)
    for week in sorted({week_of(duty, rota.zone) for duty in mine}):
        left = have_turn_left(helper, week)
        turns = [duty for duty in mine if week_of(duty, rota.zone) == week]
        if left is None:
            continue
        named = cp_model.LinearExpr.sum([rota.pairs[duty.id, helper.id] for duty in turns])
        new = [duty for duty in turns if helper.id not in duty.agreed]
        if len(turns) - len(new) <= left:
            rota.model.add(named <= left)
            continue
        for duty in new:  # what they have accepted themselves may be more than they wish, but nothing comes on top
            rota.model.add(named <= left).only_enforce_if(rota.pairs[duty.id, helper.id])


def _at_once(one: Duty, other: Duty) -> bool:
    return one.starts_at < other.ends_at and other.starts_at < one.ends_at


def _cover(rota: _Rota) -> None:
    """Whole duties first, then people; held as a sum of their own, which the later levels solve faster."""
    duties = rota.problem.duties
    named = _Level(-cp_model.LinearExpr.sum(list(rota.pairs.values())), sum(duty.need for duty in duties))
    _best(rota, [_Level(-cp_model.LinearExpr.sum(list(rota.whole.values())), len(duties)), named])
    rota.model.add(named.cost <= -len(rota.chosen))


def _named(rota: _Rota, ids: dict[int, tuple[int, ...]]) -> _Level:
    """How many of these helpers, by duty, are not named for it."""
    pairs = [rota.pairs[d, each] for d in ids for each in sorted(set(ids[d])) if (d, each) in rota.pairs]
    return _Level(-cp_model.LinearExpr.sum(pairs), len(pairs))


def _kept(rota: _Rota) -> _Level:
    return _named(rota, {duty.id: duty.agreed for duty in rota.problem.duties})


def _waiting(rota: _Rota) -> _Level:
    return _named(rota, {duty.id: duty.asked for duty in rota.problem.duties})


def _last(rota: _Rota) -> _Level:
    """How many are named who refused, or let pass, something else of the same event."""
    refused = [
        (duty.id, each) for duty in rota.problem.duties for each in sorted(set(duty.last) - {*duty.agreed, *duty.asked})
    ]
    pairs = [rota.pairs[key] for key in refused if key in rota.pairs]
    return _Level(cp_model.LinearExpr.sum(pairs), len(pairs))


def _heaviest(rota: _Rota) -> int:
    """The heaviest burden of anyone who is named for anything, in steps, rounded up."""
    loads = {helper: rota.before[helper] for _, helper in rota.chosen}
    for duty, helper in rota.chosen:
        loads[helper] += rota.weight[duty]
    return ceil(max(loads.values(), default=0) / rota.step)


def _floor(rota: _Rota) -> int:
    """A burden that somebody must come to: the lightest who may do a duty, over as many duties as are whole."""
    floors = []
    for duty in rota.problem.duties:
        loads = sorted(rota.before[helper.id] for helper in rota.able[duty.id])
        if len(loads) >= duty.need:
            floors.append(loads[duty.need - 1] + rota.weight[duty.id])
    names = Counter(duty for duty, _ in rota.chosen)
    whole = sum(names[duty.id] == duty.need for duty in rota.problem.duties)
    return ceil(sorted(floors)[whole - 1] / rota.step) if whole else 0


def _lightest_heaviest(rota: _Rota) -> int:
    """The least possible `_heaviest`, by halving: nearer the floor, as impossible caps show soonest."""
    low, high = _floor(rota), _heaviest(rota)
    while low < high:
        cap = low + (high - low) // 3
        trial = rota.model.clone()
        trial.clear_objective()  # type: ignore[no-untyped-call]  # the library leaves it untyped
        pairs = {key: trial.get_bool_var_from_proto_index(pair.index) for key, pair in rota.pairs.items()}
        _cap(rota, trial, pairs, cap)
        if _run(rota, trial, pairs):
            high = _heaviest(rota)
        else:
            low = cap + 1
    return high


def _cap(rota: _Rota, model: cp_model.CpModel, pairs: Pairs, cap: int) -> None:
    """Nobody who is named comes to bear more than the cap."""
    for helper, duties in rota.mine.items():
        room = cap * rota.step - rota.before[helper]
        light = [duty.id for duty in duties if rota.weight[duty.id] <= room]
        model.add_bool_and(pairs[duty.id, helper].negated() for duty in duties if rota.weight[duty.id] > room)
        weights = [rota.weight[duty] for duty in light]
        if sum(weights) > room >= 0:
            model.add(cp_model.LinearExpr.weighted_sum([pairs[duty, helper] for duty in light], weights) <= room)


def _unevenness(rota: _Rota, cap: int) -> _Level:
    """The growth of the sum of the squares of all burdens, each duty at its own weight, while none is above the cap.

    (before + added)^2 - before^2 = (2 before + added) added, in square hundredths. What a helper could be given under
    the cap is mostly few sets of duties, one of which is chosen: of the ways tried only this one is proven in seconds.
    """
    choices: Costs = []
    span = 0
    for helper in rota.problem.helpers:
        room = cap * rota.step - rota.before[helper.id]
        mine = [duty for duty in rota.mine[helper.id] if rota.weight[duty.id] <= room]
        if not mine:
            continue
        sets = _sets(rota, helper, mine, room)
        costs = _by_set(rota, helper, mine, sets) if len(sets) <= MOST_SETS else _by_sum(rota, helper, mine, room)
        choices += costs
        span += (2 * rota.before[helper.id] + room) * room
    return _Level(_sum(choices), span)


def _sets(rota: _Rota, helper: Helper, mine: list[Duty], room: int) -> list[tuple[Duty, ...]]:
    """Every set of these duties that one helper can do within the room; one more than MOST_SETS when there are more."""
    week = {duty.id: week_of(duty, rota.zone) for duty in mine}
    left = {one: have_turn_left(helper, one) for one in week.values()}
    found: list[tuple[tuple[Duty, ...], int]] = [((), 0)]
    for duty in sorted(mine, key=lambda duty: helper.id not in duty.agreed):  # so that what is new is counted last
        most = left[week[duty.id]] if helper.id not in duty.agreed else None
        for chosen, weight in [*found]:
            heavier = weight + rota.weight[duty.id]
            if heavier > room or any(_at_once(one, duty) for one in chosen):
                continue
            if most is None or sum(week[one.id] == week[duty.id] for one in chosen) < most:
                found.append(((*chosen, duty), heavier))
        if len(found) > MOST_SETS:
            break
    return [chosen for chosen, _ in found]


def _by_set(rota: _Rota, helper: Helper, mine: list[Duty], sets: list[tuple[Duty, ...]]) -> Costs:
    """One choice a set; a duty is the helper's when the chosen set holds it."""
    choices = [rota.model.new_bool_var("") for _ in sets]
    rota.model.add_exactly_one(choices)
    for duty in mine:
        holding = [choice for choice, chosen in zip(choices, sets, strict=True) if duty in chosen]
        rota.model.add(cp_model.LinearExpr.sum(holding) == rota.pairs[duty.id, helper.id])
    added = [sum(rota.weight[duty.id] for duty in chosen) for chosen in sets]
    return [(choice, (2 * rota.before[helper.id] + one) * one) for choice, one in zip(choices, added, strict=True)]


def _by_sum(rota: _Rota, helper: Helper, mine: list[Duty], room: int) -> Costs:
    """For a helper of very many sets: the square is convex, so it is the highest of its chords between possible sums."""
    sums = {0}
    for duty in mine:
        sums |= {one + rota.weight[duty.id] for one in sums if one + rota.weight[duty.id] <= room}
    twice = 2 * rota.before[helper.id]
    cost = rota.model.new_int_var(0, (twice + max(sums)) * max(sums), "")
    added = cp_model.LinearExpr.weighted_sum(
        [rota.pairs[duty.id, helper.id] for duty in mine], [rota.weight[duty.id] for duty in mine]
    )
    for low, high in pairwise(sorted(sums)):
        rota.model.add(cost >= (twice + low + high) * added - low * high)
    return [(cost, 1)]


def _trouble(rota: _Rota) -> _Level:
    helpers = {helper.id: helper for helper in rota.problem.helpers}
    duties = {duty.id: duty for duty in rota.problem.duties}
    costs = [(pair, trouble(duties[d], helpers[h], rota.zone)) for (d, h), pair in rota.pairs.items()]
    return _weighted(rota, costs)


def _by_id(rota: _Rota) -> _Level:
    """Lower ids first; two equal names that only swap their duties are left to the solver's fixed seed."""
    rank = {helper.id: number for number, helper in enumerate(rota.problem.helpers)}
    costs = [(pair, rank[helper]) for (_, helper), pair in rota.pairs.items()]
    return _weighted(rota, costs)


def _sum(costs: Costs) -> cp_model.LinearExpr:
    return cp_model.LinearExpr.weighted_sum([choice for choice, _ in costs], [cost for _, cost in costs])


def _weighted(rota: _Rota, costs: Costs) -> _Level:
    """Costs by name, each of the duties' places costing at most the dearest."""
    most = max((cost for _, cost in costs), default=0)
    return _Level(_sum(costs), most * sum(duty.need for duty in rota.problem.duties))


def _best(rota: _Rota, levels: list[_Level]) -> None:
    """The least cost of each level in turn, as the levels before it allow.

    Levels are solved at once, the earlier outweighing all of the later, as far as the numbers stay exact.
    """
    open_levels = [level for level in levels if level.span > 0]
    if not open_levels:
        return
    cost, span = open_levels[0].cost, open_levels[0].span
    for level in open_levels[1:]:
        if (span + 1) * (level.span + 1) > EXACT:
            _hold(rota, cost)
            cost, span = level.cost, level.span
        else:
            cost, span = cost * (level.span + 1) + level.cost, (span + 1) * (level.span + 1) - 1
    _hold(rota, cost)


def _hold(rota: _Rota, cost: cp_model.LinearExpr) -> None:
    """Find the least cost, and let the later levels cost no more; where the work limit comes first, the best found."""
    rota.model.minimize(cost)
    if _run(rota, rota.model, rota.pairs):
        rota.model.add(cost <= rota.cost)


def _run(rota: _Rota, model: cp_model.CpModel, pairs: Pairs) -> bool:
    """Solve and take over the names found; False when there is no such rota, or none within the work limit."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_deterministic_time = max(rota.left, 0.0)
    solver.parameters.cp_model_presolve = False  # models this small are solved in less time than they are simplified
    status = solver.solve(model)
    rota.left -= solver.response_proto.deterministic_time
    rota.proven &= status in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return False
    rota.chosen = frozenset(key for key, pair in pairs.items() if solver.boolean_value(pair))
    rota.cost = round(solver.objective_value)
    return True


def _answer(rota: _Rota) -> Solution:
    assignments, shortages = [], []
    helpers = {helper.id: helper for helper in rota.problem.helpers}
    for duty in rota.problem.duties:
        named = sorted(helper_id for task_id, helper_id in rota.chosen if task_id == duty.id)
        able = rota.able[duty.id]
        for each in named:
            why = reasons(duty, helpers[each], able, named)
            assignments.append(Assignment(duty.id, each, why, helpers[each].burden, len(able) - len(named)))
        if len(named) < duty.need:
            shortages += missing(duty, rota.problem, len(named))
    return Solution(tuple(assignments), tuple(shortages), rota.proven)
