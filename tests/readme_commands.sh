#!/bin/sh
# Runs every `build/railseep ...` command that README.md shows, with the program given, in an empty folder; and holds what
# README.md shows of the output against what is printed. Such a block follows a line <!-- printed by: COMMAND -->; each of
# its lines must be printed, in that order (others may stand between them).
#
#     sh tests/readme_commands.sh PROGRAM
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
XDG_CONFIG_HOME=$folder/settings  # units and currency are those of the program
XDG_STATE_HOME=$folder/state
XDG_CACHE_HOME=$folder/cache
export XDG_CONFIG_HOME XDG_STATE_HOME XDG_CACHE_HOME
sed -n 's/^build\/railseep \([^#]*\).*/\1/p' "$root/README.md" >commands
[ "$(wc -l <commands)" -ge 5 ] || { echo "README.md shows fewer commands than it should"; exit 1; }
while read -r command; do
  echo "railseep $command"
  eval "\"$program\" $command" >output 2>&1 </dev/null || { cat output; exit 1; }
  [ -s output ] || { echo "it printed nothing"; exit 1; }
done <commands

# printed_in_order BLOCK OUTPUT: prints the first line of the block that the output does not hold behind those before it.
printed_in_order() {
  awk 'NR == FNR { wanted[++lines] = $0; next }
       at < lines && $0 == wanted[at + 1] { ++at }
       END { if (at < lines) { print wanted[at + 1]; exit 1 } }' "$1" "$2"
}

sed -n 's/^<!-- printed by: \(.*\) -->$/\1/p' "$root/README.md" >printed
[ "$(wc -l <printed)" -ge 2 ] || { echo "README.md shows less output than it should"; exit 1; }
while read -r command; do
  echo "what README.md shows of railseep $command"
  awk -v mark="<!-- printed by: $command -->" '
    $0 == mark { wanted = 1; next }
    wanted && /^```/ { if (inside) exit; inside = 1; next }
    wanted && inside && NF' "$root/README.md" >block
  eval "\"$program\" $command" >output </dev/null
  missing=$(printed_in_order block output) || { echo "it does not print (in this place): $missing"; exit 1; }
done <printed
