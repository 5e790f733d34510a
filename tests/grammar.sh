#!/bin/sh
# One grammar for all commands: an option means the same everywhere, units are the user's choice, nothing is written that
# was not asked for, nothing is written over, "-" is standard input and output, and verdicts have exit codes.
#
#     sh tests/grammar.sh PROGRAM
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
mkdir "$folder/here"
cd "$folder/here"
XDG_CONFIG_HOME=$folder/settings
XDG_STATE_HOME=$folder/state
XDG_CACHE_HOME=$folder/cache
export XDG_CONFIG_HOME XDG_STATE_HOME XDG_CACHE_HOME
V8=models/valley_v8.json
plug="left rail front end plug"

fail() { echo "$1"; exit 1; }
# answers CODE COMMAND ...
answers() {
  code=$1
  shift
  result=0
  "$program" "$@" >../out 2>../err </dev/null || result=$?
  [ "$result" = "$code" ] || { cat ../out ../err; fail "railseep $* ended with $result, not $code"; }
}
says() { grep -qF -- "$1" ../out || { cat ../out; fail "it does not say: $1"; }; }
nothing_here() { [ -z "$(ls -A)" ] || fail "it wrote here, unasked: $(ls -A)"; }

# One option, one meaning: what --help says of it is the same with every command, but for what it answers by default.
commands=$("$program" --help | sed -n '/^Subcommands:/,$s/^  \([a-z]*\)  .*/\1/p')
for command in $commands; do "$program" "$command" --help | tr -s ' \n' '  ' >"../help_$command"; done
same_words() {
  for command in $commands; do
    ! grep -q -e " $1[ =]" "../help_$command" || grep -qF -- "$2" "../help_$command" || fail "$command says something else of $1"
  done
}
same_words --fault "that is in the engine"
same_words --units "psi bar MPa, degC degF, mm in, cm3/s L/min"
same_words --metric "MPa instead of psi: short for --units MPa"
same_words --json "Print the result for machines, in SI units"
same_words --quiet "Print nothing but errors, and what was asked to go to -"
same_words --overwrite "Write over existing files, which are otherwise kept"
same_words --trace "CSV file for the curves; - is standard output"
same_words --temperature "Air and metal"
same_words --rested-battery "Volts of the rested battery"
same_words --verdict "10 not, 11 it cannot be said"
for command in $commands; do
  ! grep -qE -- '--(ambient|beside|battery-charge)' "../help_$command" || fail "$command has a second word for an option"
done

# Units: option, environment, settings that the window shares; in this order.
answers 0 crank $V8 --units "bar degF L/min"
says "68 degF" && says " bar" && says "L/min"
RAILSEEP_UNITS=MPa answers 0 crank $V8
says " MPa" && says "20 degC"
mkdir -p "$XDG_CONFIG_HOME/railseep"
echo '{"pressure": "bar", "temperature": "degF", "flow": "L/min", "dark": true}' >"$XDG_CONFIG_HOME/railseep/settings.json"
for command in "crank $V8" "hold $V8 --watched 1s" "idle $V8" "air $V8 --purge 1s" "limit $V8 --speed 130rpm" "coil $V8"; do
  set -- $command
  [ "$1" != limit ] || set -- "$@" "pressure sensor: bias"
  answers 0 "$@"
  awk '/^  !/ { skip = 1; next } skip && /^    / { next } { skip = 0; print }' ../out | grep -v '^Flows are of' >../shown  # without cautions
  ! grep -qE '[0-9] (psi|degC)( |,|;|$)' ../shown || { cat ../out; fail "$command does not take the settings' units"; }
done
answers 0 crank $V8 --trace -
says "shown pressure [bar]" && says "flow [L/min]"
rm -r "$XDG_CONFIG_HOME"
answers 2 crank $V8 --units "furlong"

# Nothing is written here unasked.
answers 0 crank $V8 --fault "$plug: hole 0.5 mm"
answers 0 start $V8
answers 0 calibrate $V8 "$root/scenarios/fire-engine/crank.csv"
printf 'hint\nquit\n' | "$program" exercise play scenarios/exercises/hot-plug.json >../out
nothing_here
says "$folder/state/railseep/sessions/hot-plug.session"
[ -s "$folder/state/railseep/sessions/hot-plug.session" ] || fail "the session is not where it says"

# Nothing is written over unasked.
echo mine >kept
for command in "crank $V8 --trace kept" "crank $V8 --plot kept" "air $V8 --purge 1s --wav kept" "coil $V8 --trace kept" "hold $V8 --watched 1s --trace kept" \
  "new kept $V8" "report $root/scenarios/road-sweeper/job.json --html kept" "calibrate $V8 $root/scenarios/fire-engine/crank.csv --out kept" \
  "exercise make --out kept" "exercise debrief $folder/state/railseep/sessions/hot-plug.session --csv kept"; do
  answers 2 $command
  [ "$(cat kept)" = mine ] || fail "$command wrote over a file"
done
answers 0 crank $V8 --trace kept --overwrite
[ "$(cat kept)" != mine ] || fail "--overwrite writes nothing"
"$program" curves pictures >/dev/null
answers 2 curves pictures
"$program" match "$root/scenarios/harbour-work-boat/job.json" --out fitted --quiet
answers 2 match "$root/scenarios/harbour-work-boat/job.json" --out fitted
rm -r kept pictures fitted

# "-": the file alone goes to standard output, and is read from standard input.
answers 0 crank $V8 --fault "$plug: hole 0.6 mm" --oil-temperature "90 degC" --trace -
[ "$(head -c 8 ../out)" = "time [s]" ] || fail "the trace does not stand alone"
cp ../out ../log.csv
"$program" logs - <../log.csv | grep -q 'rail pressure' || fail "a log is not read from standard input"
"$program" new - $V8 ../log.csv --complaint "no start" --oil-temperature "90 degC" --quiet >../job.json
"$program" match - <../job.json | grep -q '^IN SHORT' || fail "a job is not read from standard input"
"$program" match $V8 - --oil-temperature "90 degC" --complaint "no start" <../log.csv | grep -q '^IN SHORT' || fail "match does not read a log from standard input"
answers 2 crank $V8 --trace - --plot -
answers 2 crank $V8 --trace - --json
nothing_here

# Quiet.
for command in "crank $V8" "start $V8" "limit $V8 --speed 130rpm $plug" "faults" "coil $V8" "match ../job.json" "logs ../log.csv"; do
  case $command in limit*) answers 0 limit $V8 --speed 130rpm "$plug: hole" --quiet ;; *) answers 0 $command --quiet ;; esac
  [ ! -s ../out ] || fail "$command --quiet prints something"
done

# What is sealed does not give the fault away, neither in text nor in a header nor to machines.
for more in "--trace -" "" "--json"; do
  answers 0 crank $V8 --fault "$plug: hole 0.5 mm" --sealed $more
  ! grep -qE 'plug|hole|flow' ../out || { cat ../out; fail "--sealed $more gives the fault away"; }
done
answers 0 crank $V8 --fault "$plug: hole 0.5 mm" --trace -
says "$plug: hole flow"

# Verdicts.
answers 0 crank $V8 --verdict
answers 10 crank $V8 --fault "$plug: hole 2 mm" --verdict
answers 0 crank $V8 --fault "$plug: hole 2 mm"
answers 0 crank $V8 --plugged rails --fault "$plug: hole 2 mm" --verdict
answers 10 crank $V8 --plugged rails --fault "high-pressure pump: wear 16 x" --oil-temperature "90 degC" --verdict
answers 11 crank $V8 --plugged "left rail" --verdict
answers 0 start $V8 --verdict
answers 10 start $V8 --fault "$plug: gap 36 um" --verdict
answers 10 idle $V8 --fault "$plug: hole 4 mm" --verdict
answers 10 coil $V8 --on 20s --verdict
answers 0 match "$root/scenarios/tow-truck/job.json" --verdict --quiet
answers 10 match "$root/scenarios/fire-engine/job.json" --verdict --quiet
answers 10 proof "$root/scenarios/milk-tanker/job.json" --verdict --quiet
answers 0 proof "$root/scenarios/milk-tanker/job.json" --quiet
echo "one grammar"
