#!/bin/sh
# Holds the rooms of the code to the list in DEVELOPERS.md: a room includes only rooms above it, and every room is in the
# list.
#
#     sh tests/rooms.sh
set -u
root=$(cd "$(dirname "$0")/.." && pwd) || exit 1
cd "$root" || exit 1

# The list, from top to bottom: rows such as | `sim/fluid` | oil ... |
rooms=$(sed -n '/^## Rooms/,/^## How/s/^| `\(sim\/[a-z]*\|gui\)` .*/\1/p' DEVELOPERS.md)
[ "$(echo "$rooms" | wc -l)" -ge 10 ] || { echo "DEVELOPERS.md lists fewer rooms than there are"; exit 1; }

wrong=$(
  for room in sim/*/ gui/; do
    room=${room%/}
    echo "$rooms" | grep -qx "$room" || echo "$room is not in the list of DEVELOPERS.md"
  done
  # Each include of a room's file, as "file room included".
  grep -rn '^#include "' sim gui --include='*.[ch]pp' |
    sed -n 's~^\(sim/[a-z]*\|gui\)\([^:]*:[0-9]*\):#include "\([a-z]*\)/.*~\1\2 \1 sim/\3~p' |
    awk -v rooms="$rooms" '
      BEGIN { many = split(rooms, name, "\n"); for (i = 1; i <= many; ++i) floor[name[i]] = i }
      ($3 in floor) && $2 != $3 && floor[$3] > floor[$2] { print $1 " includes " $3 ", which stands below " $2 }'
)
[ -z "$wrong" ] || { echo "$wrong"; exit 1; }
includes=$(grep -rc '^#include "[a-z]*/' sim gui --include='*.[ch]pp' | awk -F: '{ sum += $2 } END { print sum }')
[ "$includes" -ge 300 ] || { echo "fewer includes were found than there are: $includes"; exit 1; }
echo "$(echo "$rooms" | wc -l) rooms, none includes one below it"
