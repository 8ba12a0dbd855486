"""Reads back what `tubtrace export` wrote, with programs that are not ours, and holds it against `tubtrace timeline --json`.

Run by `cargo xtask read-back FOLDER` on a folder that it has filled. CSV by pandas, JSON Lines by json and pandas, Parquet by pyarrow,
pandas, DuckDB and DataFusion, VCD by vcdvcd, WAV by Python's wave and scipy. Parameters: the folder.
"""

import csv
import json
import sys
import wave
from pathlib import Path

import datafusion
import duckdb
import pandas as pd
import pyarrow as pa
import pyarrow.parquet as pq
from scipy.io import wavfile
from vcdvcd import VCDVCD

folder = Path(sys.argv[1])
LOADS = ["heater", "wash-pump", "drain-pump", "fill-valve", "dispenser", "vent", "fan"]


def close(a, b, within, what):
    assert abs(a - b) <= within, f"{what}: {a} for {b}"


def intervals_of(name):
    timeline = json.loads((folder / f"{name}.json").read_text())
    return timeline, [(c + 1, i) for c, cycle in enumerate(timeline["cycles"]) for i in cycle["intervals"]]


def table_of_intervals(rows, intervals, what):
    """A table of intervals, whatever it came in, is that of the JSON."""
    assert len(rows) == len(intervals), f"{what}: {len(rows)} rows for {len(intervals)} intervals"
    for row, (cycle, interval) in zip(rows.itertuples(), intervals):
        assert (row.cycle, row.does) == (cycle, interval["name"]), what
        close(row.start_s, interval["start_s"], 1e-3, what)
        close(row.start_s + row.lasts_s, interval["end_s"], 2e-3, what)
        for load in LOADS:
            on = getattr(row, load.replace("-", "_"))
            if interval["name"] == "gap":
                assert pd.isna(on), what
            else:
                assert bool(on) == (load in interval["loads"]), f"{what}: {load}"
                close(row.amps, interval["amps"], 1e-3, what)


def readings(table, what, duration, energy):
    """Readings follow each other without overlap, and hold what they held."""
    ends = table.start_s + table.lasts_s
    assert (table.start_s.to_numpy()[1:] >= ends.to_numpy()[:-1] - 1e-3).all(), f"{what}: in order"
    close(ends.iloc[-1], duration, 0.2, f"{what}: its end")
    close((table.amps * table.lasts_s).sum() / 3_600, energy, 0.002 * energy + 1e-3, f"{what}: ampere-hours")


def night(name):
    timeline, intervals = intervals_of(name)
    start = pd.Timestamp(timeline["start"]) if timeline["start"] else None

    # CSV: as RFC 4180 has it, and every field a number or a time.
    raw = (folder / f"{name}.csv").read_bytes()
    assert raw.count(b"\n") == raw.count(b"\r\n"), "lines end with CR LF"
    rows = list(csv.reader(raw.decode().splitlines(), strict=True))
    assert len({len(r) for r in rows}) == 1, "as many fields in each row"
    table = pd.read_csv(folder / f"{name}.csv")
    amps = "amps" if "amps" in table else "watts"
    table["amps"] = table[amps]
    duration = (table.start_s + table.lasts_s).iloc[-1]
    energy = (table.amps * table.lasts_s).sum() / 3_600
    if start is not None:
        first = pd.Timestamp(table.time[0])
        # Where a meter does not say where its clock is, times stay as they stand.
        assert abs(first - (start if first.tz else start.tz_localize(None))) < pd.Timedelta("1ms")
    even = pd.read_csv(folder / f"{name}.even.csv")
    even["amps"] = even[amps]
    steps = even.start_s.diff().dropna()
    assert ((steps / 10).round(6) == (steps / 10).round()).all(), "a row every ten seconds"
    readings(table, f"{name}.csv", duration, energy)
    table_of_intervals(pd.read_csv(folder / f"{name}.intervals.csv"), intervals, f"{name}.intervals.csv")

    # JSON Lines: an object on each line.
    lines = (folder / f"{name}.jsonl").read_text().splitlines()
    objects = pd.DataFrame([json.loads(line) for line in lines])
    readings(objects if amps == "amps" else objects.assign(amps=objects.watts), f"{name}.jsonl", duration, energy)
    table_of_intervals(pd.read_json(folder / f"{name}.intervals.jsonl", lines=True), intervals, f"{name}.intervals.jsonl")

    # Parquet: types, units, values.
    file = pq.ParquetFile(folder / f"{name}.parquet")
    schema = file.schema_arrow
    assert schema.field("time").type == pa.timestamp("us", tz="UTC")
    assert schema.field("local_time").type == pa.timestamp("us")
    assert schema.field("amps").type == pa.float64()
    facts = file.metadata.metadata
    assert facts[b"unit.amps"] == b"A" and facts[b"unit.supply_c"] == b"degC" and facts[b"unit.lasts_s"] == b"s"
    frame = file.read().to_pandas()
    readings(frame if amps == "amps" else frame.assign(amps=frame.watts), f"{name}.parquet", duration, energy)
    assert len(frame) == len(table) == len(objects)
    table_of_intervals(pd.read_parquet(folder / f"{name}.intervals.parquet"), intervals, f"{name}.intervals.parquet")

    # VCD: every load at the middle of every interval.
    vcd = VCDVCD(str(folder / f"{name}.vcd"))
    assert vcd.timescale["timescale"] * 1000 == 1, "milliseconds"
    for load in LOADS:
        signal = vcd[f"machine.{load.replace('-', '_')}"]
        for _, interval in intervals:
            at = round((interval["start_s"] + interval["end_s"]) * 500)
            expected = "x" if interval["name"] == "gap" else str(int(load in interval["loads"]))
            assert signal[at] == expected, f"{name}.vcd: {load} at {at}: {signal[at]} for {expected}"
    return len(intervals)


def folder_of_logs():
    """Many logs as one table, by query engines that are told nothing but the folder."""
    for table in ("readings", "intervals"):
        of = f"read_parquet('{folder}/all/{table}/**/*.parquet', hive_partitioning=true)"
        logs = {r[0]: r[1] for r in duckdb.sql(f"select log, count(*) from {of} group by log").fetchall()}
        assert set(logs) >= {"night", "damaged"}, logs
    heat = duckdb.sql(f"select sum(lasts_s) from {of} where log = 'night' and heater").fetchall()[0][0]
    _, intervals = intervals_of("night")
    heated = sum(i["end_s"] - i["start_s"] for _, i in intervals if "heater" in i["loads"])
    close(heat, heated, 0.1, "heated, by DuckDB")
    engine = datafusion.SessionContext()
    engine.register_parquet("intervals", str(folder / "all" / "intervals"), table_partition_cols=[("log", pa.string())])
    told = engine.sql("select sum(lasts_s) as heat from intervals where log = 'night' and heater").to_pydict()
    close(told["heat"][0], heated, 0.1, "heated, by DataFusion")


def waves():
    """Bursts and simulated samples are what a WAV says of itself, and look like mains."""
    with wave.open(str(folder / "bursts.wav")) as bursts:
        assert (bursts.getnchannels(), bursts.getframerate(), bursts.getsampwidth()) == (1, 4800, 2)
        assert bursts.getnframes() > 48_000
    # Four channels are WAVE_FORMAT_EXTENSIBLE, which Python's wave reads from 3.12 on.
    rate, kitchen = wavfile.read(folder / "kitchen.wav")
    assert (rate, kitchen.shape, kitchen.dtype.name) == (4800, (4800 * 60 * 15, 4), "int16")
    amps = kitchen[4800 * 60 * 14 :][:4800, 0].std() / 16 * 0.016113
    # The wash pump of the demo's machine runs in its fifteenth minute.
    _, intervals = intervals_of("night")
    running = next(i for _, i in intervals if i["start_s"] < 840 < i["end_s"])
    close(amps, running["amps"], 0.05 * running["amps"], "amps of the samples")


counts = {name: night(name) for name in ("night", "damaged", "real") if (folder / f"{name}.json").exists()}
folder_of_logs()
waves()
print("read back:", ", ".join(f"{n} intervals of {name}" for name, n in counts.items()), "and all readings; bursts and samples")
