#!/bin/sh
# What an ear and a gauge tell in the shop-air test, on an invented engine with invented faults: six tests one after the other.
#
#     sh scenarios/shop_air.sh [PROGRAM]          (default: build/railseep)
#
# The sounds are written to a temporary folder, which is named at the end.
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=${1:-$root/build/railseep}
circuit=$root/models/valley_v8.json
sounds=$(mktemp -d)

tell() { printf '\n== %s\n' "$1"; }
# The cautions are printed once, at the first test.
air() { "$program" air "$circuit" "$@" | sed '/^Before the first step/d; /^  ! /d'; }

tell "1. Before the first step, and a healthy engine fed where the sensor sits: both covers hiss alike"
"$program" air "$circuit" --wav "$sounds/healthy.wav" --at "left cover"

tell "2. A rail end plug leaks on the left: that cover stands out, energised or not"
air --fault "left rail front end plug: hole 0.5 mm" --wav "$sounds/left_plug.wav" --at "left cover"

tell "3. The same leak two seconds after the air came on: wet, muffled, gurgling"
air --fault "left rail front end plug: hole 0.5 mm" --purge "2 s" --energise no --wav "$sounds/left_plug_wet.wav" --at "left cover"

tell "4. A bottom stand-tube seal: heard at the valley, not under a cover"
air --fault "left stand tube bottom seal: hole 0.6 mm" --ear tube --wav "$sounds/bottom_seal.wav" --at valley

tell "5. Fed at the pump side: the regulator hisses, and stops when it is energised"
air --feed "pump outlet" --wav "$sounds/regulator_energised.wav" --at valley

tell "6. The same with the coil's plug off: no change on energising"
air --feed "pump outlet" --coil-open

tell "The coil: straight from a battery, and by a tool"
"$program" coil "$circuit"

printf '\nThe sounds: %s\n' "$sounds"
