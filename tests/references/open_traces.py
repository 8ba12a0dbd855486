"""Days of a dishwasher of which somebody else fitted a model to real recordings, with what is known of them beside: `python open_traces.py FOLDER [DAYS]`
(`open-traces.txt` beside this has the packages); `cargo xtask open-data` calls it and reads the folder.

Source: antgen 0.4.1, MIT licence, A. Reinhardt, TU Clausthal, and others: A. Reinhardt, C. Klemenjak, How does Load Disaggregation Performance Depend on
Data Characteristics?, ACM e-Energy 2020. Its one dishwasher is four stretches of power, of which two heat; its code makes the readings, this only places
them in days and writes them down. The package says neither which load draws what nor where water runs, so the truth has the heater alone: nothing else in
a dishwasher draws 2 kW (common practice, no source). What is drawn below 1 kW is written as `unnamed`.

Four folders' worth of days, each named for what is beside the machine. `alone`: as it was fitted, all cycles alike. `stretched`: each cycle 0.8 to 1.2
times as long (the package scales all stretches alike). `noisy`: the package's own Gaussian noise, option G5. `fridge`: a refrigerator of the package, one
that was fitted with 5 to 46 minutes of rest as its activity has it, on the same meter. One or two cycles a day; a reading each second, in steps of 1 W."""
import importlib.util
import json
import os
import pathlib
import random
import sys

import numpy as np

DAY, HOT = 86_400, 1_000
PACKAGE = pathlib.Path(importlib.util.find_spec("antgen").submodule_search_locations[0])
sys.path.append(str(PACKAGE))


def appliance(kind, device="*"):
    """A model of the package. It knows its folders only from within its own, and says so on its log."""
    from ApplianceModel import ApplianceModel

    os.chdir(PACKAGE)
    folder = sorted(PACKAGE.glob(f"appliances/{kind}/{device}"))[0]
    return ApplianceModel(kind, str(folder.relative_to(PACKAGE)), 1)


def clock(date, second):
    second = int(second)
    if second == DAY:
        return f"{np.datetime64(date) + 1}T00:00:00"
    return f"{date}T{second // 3600:02}:{second // 60 % 60:02}:{second % 60:02}"


def stretches(model, lasts):
    """From, to and power of each component, as the package places them in a cycle that lasts so many seconds."""
    at = 0
    for component in model.comps:
        end = at + round(component.dur * lasts)
        yield at, end, float(np.mean(component.synthesize(end - at)))
        at = end


def cycles(model, date, rng, stretched):
    """Readings of a day and its truth."""
    watts, truth = np.zeros(DAY), [{"type": "compared", "loads": ["heater"]}]
    for start in sorted(rng.choice([8, 13, 19], size=rng.integers(1, 3), replace=False)):
        start = int(start * 3600 + rng.integers(0, 7200))
        lasts = round(model.usual_duration * (rng.uniform(0.8, 1.2) if stretched else 1.0))
        watts += model.synthesize(start, lasts)[0]
        own = list(stretches(model, lasts))
        end = clock(date, start + own[-1][1])
        cycle = {"type": "cycle", "programme": "fitted", "start": clock(date, start), "end": end}
        truth.append(cycle | {"last_load_off": end, "fault": None, "how": "finished"})
        for a, b, power in own:
            kind = "heater" if power > HOT else "unnamed"
            interval = {"type": "interval", "kind": kind, "name": f"{power:.0f} W", "watts": round(power, 1)}
            truth.append(interval | {"start": clock(date, start + a), "end": clock(date, start + b)})
    return watts, truth


def beside(truth, date, start, end, watts):
    interval = {"type": "interval", "kind": "house", "name": "beside", "watts": round(float(watts), 1)}
    truth.append(interval | {"start": clock(date, start), "end": clock(date, end)})


def with_noise(watts, truth, date, rng):
    """Option G5 of the package: normal about 5 W, its deviation a tenth of that."""
    beside(truth, date, 0, DAY, 5.0)
    return np.maximum(watts + rng.normal(5.0, 0.5, DAY), 0.0)


def with_fridge(watts, truth, date, rng):
    fridge, at = appliance("REFRIGERATOR", "ECO-H1"), int(rng.integers(0, 2700))
    while True:
        fridge.pick_another_model()
        lasts = fridge.usual_duration
        if at + lasts >= DAY:
            return watts
        own = fridge.synthesize(at, lasts)[0]
        watts = watts + own
        beside(truth, date, at, at + lasts, own[at : at + lasts].mean())
        at += lasts + int(rng.integers(900, 2700))


def main():
    folder, days = pathlib.Path(sys.argv[1]).resolve(), int((sys.argv[2:] or ["12"])[0])
    folder.mkdir(parents=True, exist_ok=True)
    for n, name in enumerate(["alone", "stretched", "noisy", "fridge"]):
        rng = np.random.default_rng(n)
        random.seed(n)
        for day in range(1, days + 1):
            date = f"2030-01-{day:02}"
            watts, truth = cycles(appliance("DISHWASHER"), date, rng, name == "stretched")
            if name in ("noisy", "fridge"):
                watts = {"noisy": with_noise, "fridge": with_fridge}[name](watts, truth, date, rng)
            rows = (f"{clock(date, t)},{w:.0f}\n" for t, w in enumerate(watts))
            (folder / f"{name}_{date}.csv").write_text("time,watts\n" + "".join(rows))
            (folder / f"{name}_{date}.truth.jsonl").write_text("".join(json.dumps(line) + "\n" for line in truth))


main()
