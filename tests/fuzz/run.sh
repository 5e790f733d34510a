#!/bin/sh
# Feeds made-up bytes to every reader of files and texts, beginning with the files that are shipped.
#
#     sh tests/fuzz/run.sh BUILD [SECONDS [EXECUTIONS]]
#
# BUILD was configured with -DRAILSEEP_FUZZ=ON and clang. Each target runs for SECONDS (60), or until it has made
# EXECUTIONS. What breaks a promise is kept as BUILD/fuzz/SUBJECT/crash-...; that file as argument of the target shows it
# again. RAILSEEP_JOBS targets run at a time (default: one a core).
set -u
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 1
build=$(cd "$1" && pwd) || exit 1
seconds=${2:-60}
executions=${3:--1}
jobs=${RAILSEEP_JOBS:-$(nproc)}

# first_inputs SUBJECT FOLDER: what the fuzzer begins with.
first_inputs() {
  case $1 in
    circuit) cp "$root"/models/*_six.json "$root"/models/*_v8.json "$2" ;;
    job) for file in "$root"/scenarios/*/job.json; do cp "$file" "$2/$(basename "$(dirname "$file")").json"; done ;;
    log) for file in "$root"/scenarios/*/*.csv; do
        head -c 3000 "$file" >"$2/$(basename "$(dirname "$file")")-$(basename "$file")"
      done ;;
    quantity) for text in "B22 bar" "I-40 degC" "C0.8 mm" "C2 in" "M12.5 %" "F7.2 cm3/rev" "R1e-3 m2/s"; do
        echo "$text" >"$2/$(echo "$text" | tr -c 'A-Za-z0-9\n' _)"
      done ;;
    fault) for text in "jumper tube 1 seal: hole 0.5 mm" "high-pressure pump: wear 8 x" "pressure regulator: stuck open 5 %"; do
        echo "$text" >"$2/$(echo "$text" | tr -c 'a-z0-9\n' _)"
      done ;;
    data_files) cp "$root"/models/priors.json "$root"/models/costs.json "$root"/models/checks.json \
      "$root"/models/looks.json "$2" ;;
  esac
}

# fuzz SUBJECT: one target, its own words on the screen only when it broke.
fuzz() {
  folder=$build/fuzz/$1
  mkdir -p "$folder/found" "$folder/first" || return 1
  first_inputs "$1" "$folder/first"
  # Longest inputs: a circuit file has up to 27 kB. 4 s for one input is a reader that does not end.
  "$build/tests/fuzz/${1}_fuzz" -max_total_time="$seconds" -runs="$executions" -timeout=4 -max_len=32000 -rss_limit_mb=2048 \
    -dict="$root/tests/fuzz/words.dict" -print_final_stats=1 -artifact_prefix="$folder/" \
    "$folder/found" "$folder/first" >"$folder/log" 2>&1
  outcome=$?
  made=$(sed -n 's/^stat::number_of_executed_units: *//p' "$folder/log")
  if [ "$outcome" = 0 ] && [ "${made:-0}" -lt 100 ]; then
    printf '%-12s made hardly any executions: %s\n' "$1" "${made:-none}"
    return 1
  fi
  if [ "$outcome" = 0 ]; then
    printf '%-12s %10s executions, nothing broken\n' "$1" "$made"
  else
    printf '%-12s BROKEN:\n' "$1"
    grep -E '^broken promise|ERROR|crash-|timeout-|oom-|    #[0-9] ' "$folder/log" | head -20
  fi
  return "$outcome"
}

if [ "${4:-}" ]; then
  fuzz "$4"
  exit
fi
export seconds executions
printf '%s\n' circuit job log quantity fault data_files |
  xargs -P "$jobs" -I SUBJECT sh "$0" "$build" "$seconds" "$executions" SUBJECT
