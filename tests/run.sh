#!/bin/sh
# Builds railseep and runs every test: the release build (./build), then the build with address and undefined-behaviour
# sanitizers (./build-sanitize), whose readers are also fed made-up bytes for a minute each. The first is compiled by GCC,
# the second by clang. Installs missing Debian packages first. Exits 0 only when everything passed.
#
#     sh tests/run.sh
#
# Environment:
#   RAILSEEP_SKIP_SANITIZE=1   the release build only
#   RAILSEEP_ONLY=REGEX        only tests whose name matches, for example RAILSEEP_ONLY='^Node'
#   RAILSEEP_JOBS=N            compilers and tests at a time (default: one a core)
set -u
root=$(cd "$(dirname "$0")/.." && pwd) || exit 1
. "$root/tests/setup.sh"

summary=
failed=

# stage NAME COMMAND...: runs one stage and keeps its outcome and time for the summary.
stage() {
  name=$1
  shift
  step "$name"
  began=$(date +%s)
  broken=
  skipped=
  if "$@"; then outcome=ok; else outcome=FAILED; failed="$failed, $name"; fi
  summary="$summary$(printf '%-18s %-6s %5d s' "$name" "$outcome" $(($(date +%s) - began)))
${broken:+$broken
}${skipped:+$skipped
}"
  [ "$outcome" = ok ]
}

# list_skipped FOLDER: the tests that were skipped, and why, for the summary.
list_skipped() {
  awk '/^\[ RUN  / { name = $4 }
       /: Skipped$/ { if ((getline reason) > 0) print "                   skipped: " name ": " reason }' "$1/Testing/Temporary/LastTest.log" 2>/dev/null
}

# run_tests FOLDER: every test of one build; those that were skipped and those that fail are kept for the summary.
run_tests() {
  # Of a test that stands alone and in a process with others (under sanitizers) only one is run.
  twice=
  grep -qs '^add_test.*railseep_tests_0' "$1/tests/CTestTestfile.cmake" && twice=single
  [ -n "${RAILSEEP_ONLY:-}" ] && twice=shard
  ctest --test-dir "$1" --parallel "$jobs" --output-on-failure --no-tests=error ${twice:+-LE "$twice"} ${RAILSEEP_ONLY:+-R "$RAILSEEP_ONLY"}
  passed=$?
  skipped=$(list_skipped "$1")
  [ "$passed" = 0 ] && return
  broken=$(sed 's/^[0-9]*:/                   /' "$1/Testing/Temporary/LastTestsFailed.log" 2>/dev/null)
  return 1
}

# check WORD FOLDER [option of cmake ...]: one build with its tests. What was not built is not tested.
check() {
  word=$1
  folder=$2
  shift 2
  stage "$word configure" configure "$folder" -DRAILSEEP_TESTS=ON "$@" &&
    stage "$word build" build "$folder" &&
    stage "$word tests" run_tests "$folder"
}

step "packages"
# shellcheck disable=SC2086  # lists of names, to be split
ensure_packages $build_packages $test_packages

check release "$root/build" -DCMAKE_BUILD_TYPE=Release
if [ "${RAILSEEP_SKIP_SANITIZE:-0}" = 1 ]; then
  summary="${summary}sanitize           skipped (RAILSEEP_SKIP_SANITIZE=1)
"
else
  check sanitize "$root/build-sanitize" -DCMAKE_BUILD_TYPE=Debug -DRAILSEEP_SANITIZE=ON -DRAILSEEP_FUZZ=ON \
    -DCMAKE_CXX_COMPILER=clang++ &&
    [ -z "${RAILSEEP_ONLY:-}" ] && stage "sanitize fuzz" sh "$root/tests/fuzz/run.sh" "$root/build-sanitize"
fi

step "summary"
printf '%s' "$summary"
if [ -n "$failed" ]; then
  fail "failed: ${failed#, }." "The lines above, under the heading of that name, say why." \
    "One test again, alone: RAILSEEP_ONLY='^name\$' sh tests/run.sh" \
    "Everything from nothing: remove build and build-sanitize, then start again."
fi
echo "Everything passed."
