"""A plain CP-SAT model of a published instance, to measure the solver against: no tricks.

One interval an activity, a cumulative constraint a resource, the makespan as objective, and the
parameters as they come, but for two workers and the limit.
"""

from ortools.sat.python import cp_model

from scheduling.problem import Problem

STATUS = {
    cp_model.OPTIMAL: "optimal",
    cp_model.FEASIBLE: "feasible",
    cp_model.INFEASIBLE: "infeasible",
    cp_model.UNKNOWN: "unknown",
}


def plain(problem: Problem, seconds: float) -> tuple[str, int | None]:
    """The status and the makespan of an instance as `read_instance` gives it (one mode a task)."""
    model = cp_model.CpModel()
    longest = sum(task.longest_s for task in problem.tasks)
    horizon = longest + sum(abs(lag.least_s or 0) for lag in problem.lags)
    start = {task.name: model.new_int_var(0, horizon, task.name) for task in problem.tasks}
    length = {task.name: task.modes[0].duration_s for task in problem.tasks}
    runs = {
        name: model.new_fixed_size_interval_var(start[name], length[name], name) for name in start
    }
    for lag in problem.lags:
        ahead = length[lag.before] if lag.before_moment == "end" else 0
        model.add(start[lag.after] >= start[lag.before] + ahead + (lag.least_s or 0))
    for resource in problem.resources:
        users = {
            task.name: demand
            for task in problem.tasks
            for name, demand in task.modes[0].demands
            if name == resource.name
        }
        model.add_cumulative(
            [runs[name] for name in users], list(users.values()), resource.capacity
        )
    makespan = model.new_int_var(0, horizon, "makespan")
    model.add_max_equality(makespan, [start[name] + length[name] for name in start])
    model.minimize(makespan)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = seconds
    status = STATUS[solver.solve(model)]
    return status, round(solver.objective_value) if status in ("optimal", "feasible") else None
