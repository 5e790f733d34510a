#!/bin/sh
# Kills the program at random times while it writes: what it has written stands there whole, old or new, and nothing else stays behind.
#
#     sh tests/kill_writers.sh PROGRAM [KILLS]
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
kills=${2:-40}
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
circuit=$root/models/inline_six.json
seed=1

fail() {
  echo "FAILED: $1"
  exit 1
}

# A time between 0 and $1 ms, in seconds.
random_time() {
  seed=$(((seed * 1103515245 + 12345) % 2147483648))
  awk -v r="$seed" -v most="$1" 'BEGIN { printf "%.4f", most / 1000 * r / 2147483648 }'
}

# Starts the command and kills it after a random time of up to $1 ms.
start_and_kill() {
  most=$1
  shift
  "$@" >/dev/null 2>&1 &
  child=$!
  sleep "$(random_time "$most")"
  kill -9 "$child" 2>/dev/null || true
  wait "$child" 2>/dev/null || true
}

# Only the named files are there, after the next write.
only() {
  for path in * .[!.]*; do
    [ -e "$path" ] || continue
    case " $* " in *" $path "*) ;; *) fail "$path was left behind" ;; esac
  done
}

# Curves, written over again and again: as many rows as the crank has times.
mkdir crank && cd crank
crank() { "$program" crank "$circuit" --duration "2 s" --trace curves.csv --overwrite; }
crank >/dev/null
cp curves.csv ../whole.csv
i=0
while [ "$i" -lt "$kills" ]; do
  start_and_kill 60 "$program" crank "$circuit" --duration "2 s" --trace curves.csv --overwrite
  cmp -s curves.csv ../whole.csv || fail "curves.csv is torn after kill $i"
  i=$((i + 1))
done
crank >/dev/null
only curves.csv
cd ..

# A study: every line of its outcomes is an object from its first to its last character, and the report is whole.
mkdir study && cd study
i=0
while [ "$i" -lt "$kills" ]; do
  start_and_kill 80 "$program" study "$circuit" --jobs 0 --out .
  if [ -e outcomes.jsonl ] && grep -qv '^{.*}$' outcomes.jsonl; then fail "outcomes.jsonl is torn after kill $i"; fi
  i=$((i + 1))
done
"$program" study "$circuit" --jobs 0 --out . >files 2>/dev/null
only files outcomes.jsonl $(sed 's|^\./||' files)
cd ..

# A calibrated circuit, killed about when it is written: none, or one that reads.
mkdir calibrate && cd calibrate
"$program" crank "$circuit" --duration "3 s" --oil-temperature "90 degC" --trace ../good.csv >/dev/null
log=../good.csv
begun=$(date +%s%N)
"$program" calibrate "$circuit" "$log" --oil-temperature "90 degC" --anyway --out first.json >/dev/null
takes=$((($(date +%s%N) - begun) / 1000000))
i=0
while [ "$i" -lt $(((kills + 19) / 20)) ]; do
  start_and_kill $((takes + takes / 4)) "$program" calibrate "$circuit" "$log" --oil-temperature "90 degC" --anyway --out "second.json"
  [ ! -e second.json ] || "$program" faults second.json >/dev/null || fail "second.json is torn after kill $i"
  rm -f second.json
  i=$((i + 1))
done
"$program" calibrate "$circuit" "$log" --oil-temperature "90 degC" --anyway --out second.json >/dev/null
cmp -s first.json second.json || fail "the circuit is not the same"
only first.json second.json
echo "curves and studies killed $kills times each, calibrations $(((kills + 19) / 20)) times of $takes ms: nothing torn, nothing left behind"
