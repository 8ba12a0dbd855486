"""What the same windows take otherwise: `cargo xtask sizes FOLDER`, then `python sizes.py FOLDER` (pandas, pyarrow 22.0.0, zstandard).
Prints bytes of each file as the log, as CSV, as CSV under zstd -19 and as Parquet under zstd."""
import io
import pathlib
import sys

import pandas
import zstandard

print(f"{'':14} {'log':>9} {'CSV':>9} {'CSV zstd':>9} {'Parquet':>9}")
for csv in sorted(pathlib.Path(sys.argv[1]).glob("*.csv")):
    text = csv.read_bytes()
    pressed = len(zstandard.ZstdCompressor(level=19).compress(text))
    table = io.BytesIO()
    pandas.read_csv(csv).astype("uint32").to_parquet(table, compression="zstd", compression_level=19)
    print(f"{csv.stem:14} {csv.with_suffix('.tub').stat().st_size:9} {len(text):9} {pressed:9} {len(table.getvalue()):9}")
