#!/bin/sh
# Mutation test: puts the faults of mutants.txt into the program, one at a time, and counts how many the tests notice.
# Exits 0 when at least 95 % are noticed. It takes about an hour, so it is run by hand.
#
#     sh tests/mutants/run.sh             every mutant
#     sh tests/mutants/run.sh 26 27 49    these only
#
# The tree is copied to build-mutants/, each mutant stands there behind a switch, and the test program is built once.
#
# Environment:
#   RAILSEEP_JOBS=N            compilers and mutants at a time (default: one a core)
#   RAILSEEP_MUTANT_LIMIT=S    longest that the tests of a mutant may take: a hang counts as noticed (default: 900 s)
set -u
root=$(cd "$(dirname "$0")/../.." && pwd) || exit 1
# shellcheck source=tests/setup.sh
. "$root/tests/setup.sh"
script=$root/tests/mutants/run.sh
list=$root/tests/mutants/mutants.txt
insert=$root/tests/mutants/insert.awk
work=$root/build-mutants
tests=$work/build/tests/railseep_tests
limit=${RAILSEEP_MUTANT_LIMIT:-900}

# entry NUMBER KEY: what mutants.txt says under a key of one mutant ("mutant": what it means).
entry() {
  awk -v number="$1" -v key="$2" '
    $1 == "mutant" { here = $2 == number }
    here && $1 == key {
      sub(/^[a-z]+ +/, "")
      if (key == "mutant") sub(/^[0-9]+ +/, "")
      print
    }' "$list"
}

# run_tests NUMBER FILTER OUTPUT: the named tests with one mutant switched on (0: none), in a folder of their own.
run_tests() {
  mkdir -p "$work/run/$1" && cd "$work/run/$1" || return 1
  RAILSEEP_MUTANT=$1 timeout "$limit" "$tests" --gtest_filter="$2" --gtest_fail_fast --gtest_brief=1 >"$3" 2>&1
}

# judge NUMBER: runs the quick tests of a mutant, then its slow ones, and keeps one line of the table.
judge() {
  began=$(date +%s)
  verdict=LIVES
  by=
  for stage in quick slow; do
    filter=$(entry "$1" "$stage")
    [ -n "$filter" ] || continue
    output=$work/run/$1.$stage
    run_tests "$1" "$filter" "$output"
    code=$?
    [ "$code" = 0 ] && continue
    verdict=killed
    by=$(sed -n 's/^\[  FAILED  \] \([^ ,]*\).*/\1/p' "$output" | head -n 1)
    [ "$code" = 124 ] && verdict="time"
    break
  done
  printf '%4d  %-7s %5d s  %s%s\n' "$1" "$verdict" $(($(date +%s) - began)) "$(entry "$1" mutant)" "${by:+ [$by]}" |
    tee "$work/run/$1.line"
}

if [ "${1:-}" = --judge ]; then
  judge "$2"
  exit
fi

# copy_tree: what has changed since the last copy, with the mutants in it. Ends the script where a mutant does not fit.
copy_tree() {
  parts="CMakeLists.txt DEVELOPERS.md README.md gui models scenarios sim tests"
  mutated=$(sed -n 's/^file  *//p' "$list" | sort -u)
  cd "$root" && mkdir -p "$work/tree" || exit 1
  # shellcheck disable=SC2086  # lists of names, to be split
  {
    find $parts -type f | sort >"$work/files"
    (cd "$work/tree" && find . -type f ! -name mutant_switch.hpp | sed 's|^\./||' | sort) | comm -13 "$work/files" - | sed "s|^|$work/tree/|" | xargs rm -f
    for file in $(cd "$work/tree" && grep -rl --include='*.[ch]pp' --exclude=mutant_switch.hpp 'railseep_mutant(' . | sed 's|^\./||'); do
      printf '%s\n' "$mutated" | grep -qxF "$file" || rm "$work/tree/$file"
    done
    cp -Rpu $parts "$work/tree/" || exit 1
    for file in $mutated; do
      [ -f "$file" ] || fail "mutants.txt names $file, which is not there."
      awk -v FILE="$file" -f "$insert" "$list" "$file" >"$work/with_mutants" ||
        fail "The mutants could not be put into $file." "The line above says which, and why."
      cmp -s "$work/with_mutants" "$work/tree/$file" || cp "$work/with_mutants" "$work/tree/$file" || exit 1
    done
  }
  cat >"$work/with_mutants" <<'HEADER'
#pragma once
#include <cstdlib>
inline const int railseep_mutant_on = std::getenv("RAILSEEP_MUTANT") ? std::atoi(std::getenv("RAILSEEP_MUTANT")) : 0;
inline bool railseep_mutant(int number) { return number == railseep_mutant_on; }
HEADER
  cmp -s "$work/with_mutants" "$work/tree/sim/mutant_switch.hpp" || cp "$work/with_mutants" "$work/tree/sim/mutant_switch.hpp"
}

twice=$(sed -n 's/^mutant  *\([0-9]*\) .*/\1/p' "$list" | sort | uniq -d)
[ -z "$twice" ] || fail "mutants.txt gives a number twice: $twice."
numbers=${*:-$(sed -n 's/^mutant  *\([0-9]*\) .*/\1/p' "$list")}
for number in $numbers; do [ -n "$(entry "$number" mutant)" ] || fail "There is no mutant $number in mutants.txt."; done

step "copy"
copy_tree
step "build"
root=$work/tree
configure "$work/build" -DRAILSEEP_TESTS=ON -DRAILSEEP_GUI=OFF -DCMAKE_BUILD_TYPE=Release >"$work/configure.log" || fail "cmake failed." "See $work/configure.log"
build "$work/build" railseep_tests || fail "The tree does not build with its mutants."

step "all named tests without a mutant"
rm -rf "$work/run"
mkdir -p "$work/run" && : >"$work/run/known"
set -f  # patterns of tests are no names of files
filters=
judged=
for number in $numbers; do
  [ -n "$(entry "$number" same)" ] && continue
  judged="$judged $number"
  filter=$(entry "$number" quick)
  slow=$(entry "$number" slow)
  for pattern in $(printf "%s" "$filter:$slow" | tr : " "); do
    grep -qxF -- "$pattern" "$work/run/known" && continue
    [ -n "$("$tests" --gtest_list_tests --gtest_filter="$pattern")" ] || fail "Mutant $number: no test is called \"$pattern\"."
    printf "%s\n" "$pattern" >>"$work/run/known"
  done
  filters="$filters:$filter${slow:+:$slow}"
done
run_tests 0 "$filters" "$work/run/none" || fail "Tests fail without any mutant." "See $work/run/none"
tail -n 2 "$work/run/none"

step "mutants"
# shellcheck disable=SC2086,SC2154  # a list of numbers, to be split
printf '%s\n' $judged | xargs -P "$jobs" -n 1 sh "$script" --judge

step "summary"
for number in $numbers; do
  [ -z "$(entry "$number" same)" ] || printf '%4d  same             %s: %s\n' "$number" "$(entry "$number" mutant)" "$(entry "$number" same)"
done
# shellcheck disable=SC2086
for number in $judged; do cat "$work/run/$number.line" || echo "$number lost"; done | awk '
  { ++all; ++count[$2] }
  $2 == "LIVES" { print }
  END {
    noticed = count["killed"] + count["time"]
    printf "%d of %d noticed (%.0f %%), %d of them by a limit of time; %d live.\n", noticed, all, 100 * noticed / all, count["time"], count["LIVES"]
    exit noticed < 0.95 * all
  }'
