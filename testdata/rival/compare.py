"""Compares quietpump with general-purpose engines, in turn and in one go, by what each takes of the processor:

    apt-get install libsundials-dev libsuitesparse-dev python3-scipy   # on Debian; nothing else needs them
    /usr/bin/python3 testdata/rival/compare.py                         # some ten minutes; -quick leaves SciPy out

- an hour of cycling, bench30 and the smallest camper: SUNDIALS IDA with KLU, SciPy's Radau IIA;
- steady square grids of 1,000 and 10,000 joints, cold start, ordering and plan included: KINSOL with KLU.

IDA's tolerance is the one, of a row of them, that costs it least while its events are no more than twice as far off
the independent record as quietpump's, SciPy's the same. Of KINSOL's two ways of being asked the faster counts. Each
figure is the least of several rounds in which all take turns, so that a busy machine slows all of them.
"""

import json
import os
import re
import subprocess
import sys
import tempfile
import time
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
REFERENCE = ROOT / "testdata/reference"
ROUNDS = 5
TOLERANCES = [f"{m}e-{e}" for e in range(10, 16) for m in (5, 2, 1)]
RTOLS = [1e-5, 1e-6, 5e-7, 1e-7, 1e-8, 1e-9]
SUNDIALS = ["-I/usr/include/suitesparse", "-lsundials_nvecserial", "-lsundials_sunlinsolklu", "-lsundials_sunmatrixsparse", "-lklu", "-lm"]

os.environ["OPENBLAS_NUM_THREADS"] = "1"
sys.dont_write_bytecode = True
sys.path[:0] = [str(HERE), str(REFERENCE)]


def run(*command, **more):
    return subprocess.run([str(c) for c in command], check=True, capture_output=True, text=True, **more).stdout


def off(times, events):
    return max(abs(a - b) for a, b in zip(times, events)) if len(times) == len(events) else float("inf")


def bench(tests, name, metric):
    said = run(tests, "-test.run", "XXX", "-test.bench", name, "-test.cpu", "1", cwd=ROOT / "sim")
    return float(re.search(rf"([\d.e+-]+) {metric}", said)[1])


def cycling(tests, engine, name, quick):
    import export
    import rigs

    scenario, rig = rigs.read_scenario(REFERENCE / f"{name}.scenario.toml")
    events = [e["at_s"] for e in json.loads((REFERENCE / f"{name}.record.json").read_text())["events"]]
    model = "\n".join(export.lines(scenario, rig))

    def ida(tolerance, repeats):
        done = subprocess.run([engine, tolerance, str(repeats)], input=model, check=True, capture_output=True, text=True)
        return off([float(line) for line in done.stdout.split()], events), float(re.search(r"least ([\d.]+) s", done.stderr)[1]), done.stderr

    said = run(tests, "-test.run", f"TestReferenceRecords/{name}$", "-test.v", cwd=ROOT / "sim")
    error = float(re.search(r"events, worst ([\d.e-]+) s", said)[1])
    tried = {tolerance: ida(tolerance, 1) for tolerance in TOLERANCES}
    fit = [t for t, (e, _, _) in tried.items() if e <= 2 * error]
    chosen = min(fit, key=lambda t: tried[t][1])
    ways = [("every cycle solved for", "none/leap=off"), ("every cycle taken", "all/leap=off"), ("cycles leapt over", "all/leap=on")]
    best = {"ida": 1e9, **{way: 1e9 for _, way in ways}}
    for _ in range(ROUNDS):
        best["ida"] = min(best["ida"], ida(chosen, 5)[1])
        for _, way in ways:
            best[way] = min(best[way], scenario["until_s"] / bench(tests, f"Hour/rig={name}/span=1h/layers={way}$", "simulated-s/s"))
    print(f"\n{name}, an hour of {len(events)} events, least of {ROUNDS} rounds:")
    print(f"  IDA with KLU, tolerance {chosen}: {1e3 * best['ida']:.2f} ms, events {1e3 * tried[chosen][0]:.3g} ms off;",
          re.search(r"[\d]+ steps.*factorisations", tried[chosen][2])[0])
    for words, way in ways:
        print(f"  quietpump, {words}: {1e3 * best[way]:.3f} ms, events {1e3 * error:.3g} ms off: {best['ida'] / best[way]:.1f} times as fast as IDA", flush=True)
    if not quick:
        scipy(tests, name, scenario, rig, events, error)


def scipy(tests, name, scenario, rig, events, error):
    from simulate import Simulation

    ours = 1e9
    for rtol in RTOLS:
        for _ in range(ROUNDS):  # quietpump's turn
            ours = min(ours, scenario["until_s"] / bench(tests, f"Hour/rig={name}/span=1h/layers=all/leap=off$", "simulated-s/s"))
        began = time.process_time()
        record = Simulation(scenario, rig, "Radau", rtol).run()
        took, apart = time.process_time() - began, off([e["at_s"] for e in record["events"]], events)
        if apart <= 2 * error or rtol == RTOLS[-1]:
            print(f"  SciPy, Radau IIA, relative tolerance {rtol:g}: {took:.1f} s, events {1e3 * apart:.3g} ms off;",
                  f"quietpump in turn {1e3 * ours:.3f} ms: {took / ours:,.0f} times as fast", flush=True)
            return


def grids(tests, engine, room):
    for joints in (1000, 10000):
        numbers = Path(room) / "grid.txt"
        run(tests, "-test.run", "TestWriteGrid", "-grid.write", numbers, "-grid.joints", joints, cwd=ROOT / "sim")
        best, said = {"flows": 1e9, "heads": 1e9, "ours": 1e9}, {}
        for _ in range(ROUNDS):
            for way in ("flows", "heads"):
                said[way] = run(engine, way, "1e-12", "3", *(["none"] if way == "heads" else []), stdin=numbers.open())
                best[way] = min(best[way], float(re.search(r"least ([\d.]+) s", said[way])[1]))
            best["ours"] = min(best["ours"], 1e-3 * bench(tests, f"Steady/shape=grid/joints={joints}$", "plan-and-solve-cpu-ms"))
        faster = min(("flows", "heads"), key=best.get)
        print(f"\nsteady grid of about {joints:,} joints, cold start, least of {ROUNDS} rounds:")
        print(f"  KINSOL with KLU, by {faster}: {1e3 * best[faster]:.2f} ms;", re.search(r"\d+ iterations.*apart", said[faster])[0])
        print(f"  quietpump: {1e3 * best['ours']:.2f} ms: {best[faster] / best['ours']:.1f} times as fast", flush=True)


with tempfile.TemporaryDirectory() as room:
    for program, library in (("ida", "-lsundials_ida"), ("kinsol", "-lsundials_kinsol")):
        run("cc", "-O2", "-o", f"{room}/{program}", HERE / f"{program}.c", library, *SUNDIALS)
    tests = f"{room}/sim.test"
    run("go", "test", "-c", "-o", tests, "./sim", cwd=ROOT)
    grids(tests, f"{room}/kinsol", room)
    for name in ("bench30", "camper"):
        cycling(tests, f"{room}/ida", name, "-quick" in sys.argv)
