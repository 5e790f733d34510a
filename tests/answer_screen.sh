#!/bin/sh
# What `railseep match` and `railseep next` show: one screen in a fixed order, its cautions with it, nothing that means
# nothing to a shop; the rest when it is asked for; and the same answer from logs without a job file.
#
#     sh tests/answer_screen.sh PROGRAM
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
XDG_CONFIG_HOME=$folder/settings  # units and currency are those of the program
export XDG_CONFIG_HOME

fail() { echo "$1"; cat out; exit 1; }

# one_screen LABELS: what is in `out` fits on a screen and has its parts in this order.
one_screen() {
  [ "$(wc -l <out)" -le 30 ] || fail "$(wc -l <out) lines are more than one screen"
  [ "$(wc -L <out)" -le 100 ] || fail "a line is wider than 100 columns"
  labels=$(sed -n 's/^\([A-Z][A-Z ]*[A-Z]\)  *.*/\1/p' out | tr '\n' ',')
  [ "$labels" = "$1" ] || fail "its parts are $labels"
  ! grep -qE 'bits|Bayes|misfit|[0-9] Pa\b|e-[0-9]' out || fail "it speaks of what means nothing to a shop"
  ! grep -q "$(printf '\033')" out || fail "it colours a pipe"
}

for job in harbour-work-boat delivery-van fire-engine road-sweeper milk-tanker school-bus; do
  echo "$job"
  "$program" match "$root/scenarios/$job/job.json" >out
  one_screen "LOGS USED,IN SHORT,WHERE,DO NEXT,HOW SURE,CAUTIONS,MORE,"
  "$program" next "$root/scenarios/$job/job.json" >out
  grep -q '^THEN' out || sed -i 's/^ORDER/THEN        .\n&/' out  # nothing is to be opened: no outcome either
  one_screen "LOGS USED,IN SHORT,CAUTIONS,DO NEXT,THEN,ORDER,MORE,"
  # Cautions stand before the step that needs them.
  [ "$(grep -n '^CAUTIONS' out | cut -d: -f1)" -lt "$(grep -n '^DO NEXT' out | cut -d: -f1)" ] || fail "cautions come late"
done

# The step of the boat is the air test; its digest of cautions says what may hurt.
"$program" match "$root/scenarios/harbour-work-boat/job.json" >boat
for word in 'Never feel for a' 'Eyes and ears' '120 psi' 'surgical'; do
  grep -q "$word" boat || { cp boat out; fail "it does not warn of: $word"; }
done

# The rest, when it is asked for.
"$program" match --why "$root/scenarios/harbour-work-boat/job.json" >out
grep -q misfit out || fail "--why does not tell the misfit"
grep -q Bayes out || fail "--why does not tell how near the look-alikes are"
"$program" match --places --balance "$root/scenarios/harbour-work-boat/job.json" >out
grep -q 'jumper tube 5 seal' out || fail "--places leaves places out"
grep -q 'pump displaces' out || fail "--balance shows no balance"

# On a terminal it may be bold, unless that is refused; narrow terminals get narrow lines.
if command -v script >/dev/null; then
  command="$program match $root/scenarios/road-sweeper/job.json 2>/dev/null"
  TERM=xterm script -qec "stty cols 70; $command" /dev/null >out </dev/null
  grep -q "$(printf '\033\\[1m')" out || fail "a terminal gets no bold"
  NO_COLOR=1 TERM=xterm script -qec "stty cols 70; $command" /dev/null >out </dev/null
  ! grep -q "$(printf '\033')" out || fail "NO_COLOR is not obeyed"
  [ "$(tr -d '\r' <out | wc -L)" -le 70 ] || fail "lines are wider than the terminal"
fi

# Logs without a job: the same answer; a log alone says what to type; unknown columns are told.
boat=$root/scenarios/harbour-work-boat
"$program" match models/inline_six.json "$boat/cold_crank.csv" "$boat/hot_crank.csv" --complaint "not when hot" >out
for part in 'IN SHORT' 'DO NEXT'; do
  [ "$(grep "^$part" out)" = "$(grep "^$part" boat)" ] || fail "without a job file it says something else: $part"
done
result=0
"$program" match "$boat/hot_crank.csv" >out 2>&1 || result=$?
[ "$result" = 2 ] || fail "a log without a circuit ended with $result"
grep -q 'type: railseep match models/' out || fail "it does not say what to type"
echo "one screen, in order"
