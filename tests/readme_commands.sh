#!/bin/sh
# Runs every `build/railseep ...` command that README.md shows, with the program given, in an empty folder.
#
#     sh tests/readme_commands.sh PROGRAM
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
sed -n 's/^build\/railseep \([^#]*\).*/\1/p' "$root/README.md" >commands
[ "$(wc -l <commands)" -ge 5 ] || { echo "README.md shows fewer commands than it should"; exit 1; }
while read -r command; do
  echo "railseep $command"
  eval "\"$program\" $command" >output </dev/null || { cat output; exit 1; }
  [ -s output ] || { echo "it printed nothing"; exit 1; }
done <commands
