#!/bin/sh
# Every object that the program prints for machines keeps to the schema of its kind in models/results; every command that
# offers --json is asked; an object that lacks a key, or has one too many, is refused.
#
#     sh tests/json_command.sh PROGRAM VALIDATOR
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
validate=$2
results=$root/models/results
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
XDG_CONFIG_HOME=$folder/settings
XDG_STATE_HOME=$folder/state
XDG_CACHE_HOME=$folder/cache
export XDG_CONFIG_HOME XDG_STATE_HOME XDG_CACHE_HOME
V8=models/valley_v8.json
plug="left rail front end plug"

fail() { echo "$1"; exit 1; }

# object KIND COMMAND ...: runs the command with --json and holds what it prints to the schema of that kind.
asked=
object() {
  kind=$1
  shift
  echo "railseep $*"
  "$program" "$@" --json >"$kind.json" || fail "it ended with $?"
  "$validate" "$results/$kind.schema.json" "$kind.json" || fail "it does not keep to $kind.schema.json"
  grep -q '"version": 1' "$kind.json" || fail "it has no version"
  asked="$asked $1"
  [ "$1" != exercise ] || asked="$asked exercise-$2"
}

object crank crank $V8 --duration "1 s" --fault "$plug: hole 0.5 mm"
object crank crank $V8 --duration "1 s" --plugged rails
object crank crank $V8 --duration "1 s" --fault "$plug: hole 2 mm" --sealed
object start start $V8
object start start $V8 --fault "$plug: hole 3 mm"
object idle idle $V8
object idle idle $V8 --high "1500 rpm" --duration "2 s"
object hold hold $V8 --watched "5 s"
object steps steps $V8 --goal "700 psi" --goal "900 psi"
object steps steps $V8 --fault "$plug: hole 3 mm"
object faults faults
object faults faults $V8
object limit limit $V8 "$plug: hole" --speed "130 rpm"
object limit limit $V8 "engine: no sync" --speed "130 rpm"
object air air $V8 --purge "5 s" --seed 1
object coil coil $V8
boat=$root/scenarios/harbour-work-boat
object logs logs "$boat/cold_crank.csv"
object match match "$root/scenarios/school-bus/job.json"
object match match models/inline_six.json "$boat/hot_crank.csv" --complaint "not when hot"
object next next "$root/scenarios/road-sweeper/job.json"
object next next "$root/scenarios/school-bus/job.json"
object repaired repaired "$root/scenarios/road-sweeper/job.json" --place "pressure sensor"
object proof proof "$root/scenarios/milk-tanker/job.json"
cp -r "$root/scenarios/school-bus" bus
object note note bus/job.json "oil level: good"
object calibration calibrate $V8 "$root/scenarios/fire-engine/crank.csv"
object study study models/inline_six.json --jobs 1 --out study
exercise=scenarios/exercises/hot-plug.json
object exercise_solved exercise solve $exercise
printf 'hint\ngive up\n' | "$program" exercise play $exercise --session one.session >/dev/null
object debrief exercise debrief one.session
object lesson exercise lesson scenarios/exercises/lessons/1-what-makes-pressure.json

# Every command that offers --json was asked, and every schema has held something.
offers() { "$program" "$@" --help | grep -q -e '^  --json'; }
for command in $("$program" --help | sed -n '/^Subcommands:/,$s/^  \([a-z]*\)  .*/\1/p'); do
  ! offers "$command" || echo "$asked " | grep -q " $command " || fail "$command --json was not asked"
done
for command in $("$program" exercise --help | sed -n '/^Subcommands:/,$s/^  \([a-z]*\)  .*/\1/p'); do
  ! offers exercise "$command" || echo "$asked " | grep -q " exercise-$command " || fail "exercise $command --json was not asked"
done
for schema in "$results"/*.schema.json; do
  [ -f "$(basename "$schema" .schema.json).json" ] || fail "$schema holds nothing"
done

# What lacks a key, or says more than the schema knows, is refused.
for kind in crank match next proof; do
  sed '0,/"circuit"/s//"circus"/' $kind.json >spoilt.json
  ! "$validate" "$results/$kind.schema.json" spoilt.json >/dev/null || fail "$kind.schema.json takes anything"
  sed 's/"version": 1/"version": 2/' $kind.json >spoilt.json
  ! "$validate" "$results/$kind.schema.json" spoilt.json >/dev/null || fail "$kind.schema.json takes another version"
done

# What the text of a match says stands in its object too.
"$program" match "$root/scenarios/school-bus/job.json" --all >text
object match match "$root/scenarios/school-bus/job.json"
tr -s ' \n' '  ' <text >flat_text
tr -s ' \n' '  ' <match.json >flat_json
for word in "$(sed -n 's/^IN SHORT *//p' text | cut -c1-40)" "$(sed -n 's/^DO NEXT *//p' text | cut -c1-40)"; do
  grep -qF -- "$word" flat_json || fail "the object lacks: $word"
done
words=$(sed -n 's/^ *"words": "\(.*\)"$/\1/p' match.json)
[ -n "$words" ] && grep -qF -- "$words" flat_text || fail "the text does not say of two faults what the object does: $words"
shortfalls=$(grep -c '^    Mend: ' text || true)
[ "$(grep -c '"mend": ' match.json || true)" = "$shortfalls" ] || fail "the object does not tell all $shortfalls shortfalls"
echo "every object keeps to its schema"
