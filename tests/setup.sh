# shellcheck shell=sh disable=SC2034,SC2154  # names given by and to the scripts that read this
# Set-up shared by tests/run.sh and scenarios/demo.sh: the Debian packages railseep needs, and how a build folder is made.
# Read with "." after `root` names the top folder of the source tree.

# What the library and the program need; what the tests need besides; what the window needs.
build_packages="g++ cmake ninja-build ccache pkg-config libboost-dev libeigen3-dev nlohmann-json3-dev libvalijson-dev libcli11-dev"
test_packages="libgtest-dev libsundials-dev libbenchmark-dev"
build_packages="$build_packages libimgui-dev libglfw3-dev libgl-dev libopenal-dev libstb-dev fonts-dejavu-core"  # the window
test_packages="$test_packages xvfb xdotool libgl1-mesa-dri zlib1g-dev libx11-dev"                               # and its tests
build_packages="$build_packages libcairo2-dev libpango1.0-dev"                                                    # the report
test_packages="$test_packages poppler-utils"                                                                      # and its test
test_packages="$test_packages clang libclang-rt-14-dev llvm clang-format"                                         # sanitizers, fuzzer, format

# Compilers and tests at a time.
jobs=${RAILSEEP_JOBS:-$(nproc)}

# A heading on the screen.
step() { printf '\n== %s\n' "$*"; }

# Ends the script: what failed, then what to do about it, one line each.
fail() {
  printf '\nrailseep: %s\n' "$1" >&2
  shift
  [ $# -eq 0 ] || printf '  %s\n' "$@" >&2
  exit 1
}

is_installed() { dpkg-query -W -f '${db:Status-Status}\n' "$1" 2>/dev/null | grep -qx installed; }

# Runs apt-get as root. It waits while another program holds dpkg's lock.
apt_get() {
  set -- env DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=600 "$@"
  if [ "$(id -u)" -eq 0 ]; then "$@" </dev/null; else sudo "$@" </dev/null; fi
}

# Fetches the lists of packages. apt-get does not wait for their lock, so this does, for up to ten minutes.
update_lists() {
  trouble=$(mktemp) || return 1
  tries=0
  until apt_get update 2>"$trouble"; do
    cat "$trouble" >&2
    tries=$((tries + 1))
    if [ "$tries" -ge 60 ] || ! grep -q lists/lock "$trouble"; then
      rm -f "$trouble"
      return 1
    fi
    echo "Another program is fetching the lists of packages; trying again in 10 s."
    sleep 10
  done
  cat "$trouble" >&2
  rm -f "$trouble"
}

# Installs those of the named packages that are missing, and says so. Needs no network when none is.
ensure_packages() {
  if ! command -v dpkg-query >/dev/null; then
    echo "This is not a Debian system: nothing is installed. Needed, by their Debian names: $*"
    return
  fi
  wanted=$#
  for package; do is_installed "$package" || set -- "$@" "$package"; done
  shift "$wanted"
  if [ $# -eq 0 ]; then
    echo "All $wanted are installed already."
    return
  fi

  by_hand="apt-get update && apt-get install --no-install-recommends $*"
  echo "Missing: $*"
  if [ "$(id -u)" -ne 0 ] && ! command -v sudo >/dev/null; then
    fail "packages are missing, and installing them takes root or sudo." "Run this as root, then start again:" "$by_hand"
  fi
  echo "Installing them with apt-get. On a bare system this takes some minutes."
  update_lists || echo "The lists of packages could not be fetched; trying with those at hand."
  apt_get install -y --no-install-recommends "$@" ||
    fail "apt-get could not install: $*" "The lines above say why (network? sources list? password?). By hand, as root:" "$by_hand"
}

# configure FOLDER [option of cmake ...]: makes or refreshes a build folder. The sources of a room, and six tests, are compiled at a time, so that
# their headers are read once. Ninja and ccache are used where they exist;
# ccache sees paths relative to the tree, so that another clone finds what this one compiled.
configure() {
  folder=$1
  shift
  if [ ! -f "$folder/CMakeCache.txt" ] && command -v ninja >/dev/null; then set -- -G Ninja "$@"; fi
  if command -v ccache >/dev/null; then
    set -- "-DCMAKE_CXX_COMPILER_LAUNCHER=env;CCACHE_BASEDIR=$root;CCACHE_NOHASHDIR=1;CCACHE_SLOPPINESS=pch_defines,time_macros;ccache" "$@"
  fi
  cmake -S "$root" -B "$folder" -DCMAKE_UNITY_BUILD=ON -DCMAKE_UNITY_BUILD_BATCH_SIZE=6 "$@"
}

# build FOLDER [target]: compiles, everything unless a target is named.
build() { cmake --build "$1" --parallel "$jobs" ${2:+--target "$2"}; }
