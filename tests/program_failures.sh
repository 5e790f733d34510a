#!/bin/sh
# What the program does when things go wrong around it: each case ends soon, with its exit code and one line that says what to do.
#
#     sh tests/program_failures.sh PROGRAM
set -u
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder" || exit 1
circuit=models/inline_six.json
job=$root/scenarios/school-bus/job.json
failures=0

# expect NAME CODE TEXT command ...: the exit code, and what standard error must say in one line (a wrong option in two; nothing where nothing is wrong).
expect() {
  name=$1 code=$2 text=$3
  shift 3
  timeout 60 "$@" >out 2>err </dev/null
  got=$?
  lines=1
  [ "$code" -eq 1 ] && lines=2
  if [ "$got" -ne "$code" ] || [ "$(wc -l <err)" -gt "$lines" ] || ! { [ -z "$text" ] && [ ! -s err ] || grep -qF -- "$text" err; }; then
    echo "FAILED: $name: exit code $got instead of $code, or not \"$text\" in $lines lines:"
    head -c 500 err
    failures=$((failures + 1))
  fi
}

# An answer that could not be written is no answer.
lost='standard output: the answer could not be written whole'
for command in "faults $circuit" "faults" "faults --json" "hold $circuit --watched '1 s'" "--help" "--version" "crank --help" "crank $circuit --duration '0.1 s'" "coil $circuit" "air $circuit --purge '1 s'" "curves ."; do
  expect "$command > /dev/full" 2 "$lost" sh -c "\"$program\" $command >/dev/full"
done
expect "closed standard output" 2 "$lost" sh -c "\"$program\" faults $circuit >&-"
expect "a pipe that nobody reads" 2 "$lost" sh -c "{ sleep 1; \"$program\" faults $circuit; echo \$? >code; } | true; exit \$(cat code)"
expect "an answer that arrives" 0 "" "$program" faults "$circuit"

# What may never end is not read, nor what is far too long.
mkfifo pipe
truncate -s 10G sparse.json
for what in pipe /dev/zero; do
  expect "job $what" 2 "$what: it is a pipe or a device; name a file" "$program" match "$what"
  expect "circuit $what" 2 "it is a pipe or a device" "$program" faults "$what"
  expect "priors $what" 2 "it is a pipe or a device" "$program" match "$job" --priors "$what"
  expect "log $what" 2 "it is a pipe or a device" "$program" calibrate "$circuit" "$what" --oil-temperature "90 degC"
done
expect "a sparse file" 2 "sparse.json: the file is longer than 64 MB" "$program" match sparse.json
expect "a sparse log" 2 "sparse.json: the file is longer than 1024 MB" "$program" calibrate "$circuit" sparse.json --oil-temperature "90 degC"
expect "a folder" 2 "it is a folder" "$program" match .
long=$(printf '%5000s' '' | tr ' ' n)
expect "a path of 5000 characters" 2 "nnn...: there is no such file" "$program" match "$long"
echo '{"railseep": "job", "name": "a", "circuit": "models/inline_six.json", "logs": []}' >no_complaint.json
expect "a job without complaint" 2 'no_complaint.json, top level: "complaint" is missing' "$program" match no_complaint.json
echo '{"railseep": "job", "name": "a", "complaint": "b", "circuit": "models/inline_six.json", "logs": [{"name": "a", "file": "b", "battery": "1e6 V"}]}' >volts.json
expect "a battery of a million volts in a job" 2 "volts.json, /logs/0/battery: 1000000 V is out of range; write 0 V to 36 V" "$program" match volts.json

# Files: pipes and devices are written to, links followed, folders refused.
expect "curves to a device" 0 "" "$program" crank "$circuit" --duration "0.1 s" --trace /dev/null
[ -c /dev/null ] || { echo "FAILED: /dev/null is no device any more"; exit 1; }
expect "curves to a full disk" 2 "/dev/full: the file cannot be written (No space left on device)" "$program" crank "$circuit" --duration "0.1 s" --trace /dev/full --overwrite
expect "curves to a folder" 2 "it is a folder" "$program" crank "$circuit" --duration "0.1 s" --trace "$folder" --overwrite
expect "curves to where the answer goes" 2 "own output" "$program" crank "$circuit" --duration "0.1 s" --trace out --overwrite
mkdir readonly && echo x >file
expect "a folder below a file" 2 "file/deeper: the folder cannot be made" "$program" study "$circuit" --jobs 0 --out file/deeper

expect "an unknown ear" 2 "--ear: \"trumpet\" is not a way to listen" "$program" air "$circuit" --ear trumpet
expect "an unknown node" 2 "--feed: there is no node" "$program" air "$circuit" --feed nowhere

# Options have ranges.
range() { expect "$*" 2 "is out of range; write" "$program" "$@"; }
for speed in "-100 rpm" "0 rpm" "1e6 rpm"; do
  range crank "$circuit" --speed="$speed"
  range limit "$circuit" "pressure regulator: stuck open" --speed="$speed"
done
for volts in "-12 V" "1e6 V"; do
  range crank "$circuit" --battery="$volts"
  range air "$circuit" --battery="$volts"
  range coil "$circuit" --battery="$volts"
done
for degrees in "-200 degC" "1e4 degC"; do
  range crank "$circuit" --oil-temperature="$degrees"
  range limit "$circuit" "pressure regulator: stuck open" --oil-temperature="$degrees"
  range calibrate "$circuit" "$root/scenarios/school-bus/crank.csv" --oil-temperature="$degrees"
  range coil "$circuit" --temperature="$degrees"
done
range crank "$circuit" --rest-time "1e9 s"
range crank "$circuit" --rest-time="-1 s"
range crank "$circuit" --rest-air "150 %"
range air "$circuit" --residual-oil "150 %"
range air "$circuit" --extra-noise "1000 dB"
for command in "match $job" "next $job" "proof $job" "study $circuit --out never"; do
  for threads in 100000 -1; do expect "$command --threads $threads" 1 "--threads: Value $threads not in range" sh -c "\"$program\" $command --threads=$threads"; done
done

# A study goes on from the whole lines of what was torn.
expect "a study of no jobs" 0 "" "$program" study "$circuit" --jobs 0 --out study
echo '{"job":1,' >>study/outcomes.jsonl
expect "a torn study" 0 "outcomes.jsonl: 1 line is torn" "$program" study "$circuit" --jobs 0 --out study
expect "the study after that" 0 "" "$program" study "$circuit" --jobs 0 --out study

[ "$failures" -eq 0 ] || { echo "$failures cases failed"; exit 1; }
