#!/bin/sh
# `railseep new`, `note` and `undo`: a job is written from options, what a check showed becomes evidence, and is taken
# back to the byte.
#
#     sh tests/note_command.sh PROGRAM
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
fail() { echo "$1"; exit 1; }
cp "$root/scenarios/delivery-van/"*.csv .

"$program" new van.json models/valley_v8.json hot_crank.csv cold_crank.csv --complaint "not when hot" \
  --started no --started yes </dev/null
grep -q '"complaint": "not when hot"' van.json || fail "the complaint is not in the job"
[ "$(grep -c '"started": true' van.json)" = 1 ] || fail "which log started is not in the job"
! "$program" new van.json models/valley_v8.json </dev/null 2>/dev/null || fail "a job was written over unasked"
! "$program" new other.json hot_crank.csv </dev/null 2>/dev/null || fail "a job without a circuit was written"

# probability of the pump's wear, from the result for machines
wear() { "$program" match --json van.json | awk -F'[:,]' '/"title": "wear at high-pressure pump"/ { on = 1 } on && /"probability"/ { print $2 + 0; exit }'; }

cp van.json before.json
before=$(wear)
"$program" note van.json "isolation: 1900 psi" >said
[ "$(wc -l <said)" = 1 ] || fail "it does not say in one line what changed"
grep -q '1900 psi' said || fail "it does not say what it took"
grep -q '"check": "isolation"' van.json || fail "the reading is not in the job"
after=$(wear)
echo "wear of the pump: $before before, $after after a passed isolation test"
# More than 1500 psi is expected of a good pump, so that wear can no longer be what is most likely.
awk "BEGIN { exit !($before > 0.5 && $after < 0.5) }" || fail "after a passed isolation test the pump is still suspected most"

"$program" note van.json "inlet screen: good" >/dev/null
"$program" note van.json --quiet "started: no" >said
[ ! -s said ] || fail "--quiet prints"
"$program" undo van.json >/dev/null
"$program" undo van.json >/dev/null
"$program" undo van.json >/dev/null
cmp van.json before.json || fail "three notes taken back leave another job"
! "$program" undo van.json 2>/dev/null || fail "it takes back what was never noted"

# The first outcome of the next step, by its number.
"$program" note van.json 1 >said 2>/dev/null || "$program" note van.json 1.1 >said  # where it can be told in several ways
grep -q 'Noted: ' said || fail "an outcome is not taken by its number"
! cmp -s van.json before.json || fail "an outcome by its number changes nothing"
! "$program" note van.json 99 2>/dev/null || fail "an outcome that is not listed is taken"
! "$program" note van.json "isolation: ninety" 2>/dev/null || fail "a reading that is none is taken"

# A job that changed since is not written over.
echo >>van.json
! "$program" undo van.json 2>/dev/null || fail "a job that somebody changed is written over"
echo "noted and taken back"
