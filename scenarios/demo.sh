#!/bin/sh
# From the source tree to an answer: installs missing Debian packages, builds railseep in ./build, and lets it explain one
# invented job. Safe to run again; the second time takes seconds.
#
#     sh scenarios/demo.sh
#
# Environment: RAILSEEP_JOBS=N compilers at a time (default: one a core).
set -u
root=$(cd "$(dirname "$0")/.." && pwd) || exit 1
. "$root/tests/setup.sh"
job=scenarios/harbour-work-boat/job.json
again="Then start again: sh scenarios/demo.sh"

step "1 of 4: Debian packages"
# shellcheck disable=SC2086  # a list of names, to be split
ensure_packages $build_packages

# A build folder that exists keeps its choice about the tests.
step "2 of 4: configure ./build"
set -- -DCMAKE_BUILD_TYPE=Release
[ -f "$root/build/CMakeCache.txt" ] || set -- "$@" -DRAILSEEP_TESTS=OFF
configure "$root/build" "$@" ||
  fail "the build could not be configured; CMake's lines above say why." \
    "If this folder was moved, copied or built by another user, remove its build folder." "$again"

step "3 of 4: build (some minutes the first time)"
build "$root/build" || fail "the build failed; the compiler's lines above say where." \
  "If it was stopped for want of memory, use one compiler at a time: RAILSEEP_JOBS=1 sh scenarios/demo.sh"

step "4 of 4: build/railseep match $job"
cd "$root" || exit 1
build/railseep match "$job" --out out/harbour-work-boat || fail "railseep could not explain the job; its message above says what it found." \
  "If the files were changed, this shows how: git status models scenarios"

step "done"
cat <<END
The program    $root/build/railseep        (build/railseep --help)
The job        $root/$job
The curves     $root/out/harbour-work-boat
The circuits   $root/models
Other jobs     $root/scenarios
END

if [ -n "${DISPLAY:-}" ] && [ -x build/railseep-gui ]; then
  step "the window: build/railseep-gui $job"
  build/railseep-gui "$job" || fail "the window could not be opened on display $DISPLAY; its message above says why."
fi
