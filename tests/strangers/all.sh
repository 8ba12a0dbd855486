#!/bin/sh
# Every kind under some seeds: all.sh FOLDER DAYS SEED...
# More options for each run go into the variable MORE, for example MORE="--fault mixed --meter w2".
set -eu
out=$1 days=$2
shift 2
here=$(dirname "$0")
nice -n 10 cargo build --release --quiet --package tubtrace-strangers --manifest-path "$here/Cargo.toml"
program=$here/../../target/release/strangers
for kind in $("$program" --list | awk '/^Meters/ { exit } /^  / { print $1 }'); do
    for seed in "$@"; do
        # MORE holds several words.
        # shellcheck disable=SC2086
        nice -n 10 "$program" --kind "$kind" --seed "$seed" --days "$days" \
            --out "$out/$kind-$seed" ${MORE:-}
    done
done
