#!/bin/sh
# Holds every source to .clang-format.
#
#     sh tests/format.sh            tells where a file differs
#     sh tests/format.sh --mend     formats all of them
set -u
root=$(cd "$(dirname "$0")/.." && pwd) || exit 1
cd "$root" || exit 1
how="--dry-run -Werror"
[ "${1:-}" = --mend ] && how=-i
# shellcheck disable=SC2086  # two options
find sim gui tests -name '*.[ch]pp' | xargs clang-format $how || {
  echo "sh tests/format.sh --mend formats these files"
  exit 1
}
