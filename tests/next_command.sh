#!/bin/sh
# What `railseep next --plan` and `railseep coil` say of safety: every caution once, in front of the first step that needs it,
# and no reassurance beside a limit.
#
#     sh tests/next_command.sh PROGRAM
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
output=$(mktemp)
trap 'rm -f "$output"' EXIT
"$program" next --plan "$root/scenarios/harbour-work-boat/job.json" | sed -n '/^Checks/,$p' >"$output"

# A caution is a line that begins with "!": its first line stands once.
twice=$(grep '^ *! ' "$output" | grep -v 'As above' | sort | uniq -d)
[ -z "$twice" ] || { echo "cautions that stand twice:"; echo "$twice"; exit 1; }
for word in 'Never feel for a leak' 'blow gun' 'rest volts'; do
  grep -q "$word" "$output" || { echo "it does not warn of: $word"; exit 1; }
done
# The air test warns before it says what its outcomes mean.
awk '/^1\. shop air/ { step = 1 }
     step && /! Wear eye/ { warned = 1 }
     step && /%  / { exit }
     END { exit !warned }' "$output" || { echo "the first step does not begin with its cautions"; exit 1; }

"$program" coil "$root/models/valley_v8.json" >"$output"
! grep -q 'stays below' "$output" || { echo "coil reassures beside its caution"; exit 1; }
echo "cautions stand once and first"
