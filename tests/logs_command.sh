#!/bin/sh
# What `railseep logs` says and answers with, for logs that are read, that must be told something, and that are none.
#
#     sh tests/logs_command.sh PROGRAM
set -eu
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"

fail() { echo "$1"; cat out err; exit 1; }

# answers CODE [option ...]: the command ends with this code.
answers() {
  code=$1
  shift
  echo "railseep logs $*"
  result=0
  "$program" logs "$@" >out 2>err || result=$?
  [ "$result" = "$code" ] || fail "ended with $result, not $code"
}
says() { grep -q -e "$1" out || fail "does not say: $1"; }

printf 'Time (s),ICP (psi),RPM,Vehicle\n0,12,150,0\n0.5,300,151,0\n1,512,150,0\n' >good.csv
answers 0 good.csv
says 'rail pressure'
says 'psi *written *3 *0 to 1 *12 to 512'
says 'not read, as their headers are not known: "Vehicle"'

# psi of a dead pump without a unit: 27 may be anything but MPa.
{ echo 'Time (s),ICP,RPM'; for i in 0 1 2 3 4 5 6 7 8 9; do echo "$i,$((3 * i)),150"; done; } >open.csv
answers 3 open.csv
says 'MUST BE TOLD'
says '--unit "ICP=psi"'
says '"unit": "psi"'
answers 0 open.csv --unit ICP=psi
says 'psi *told *10 *0 to 9 *0 to 27'

answers 3 --json good.csv open.csv
tr -d ' \n' <out >flat && mv flat out
says '"file":"good.csv"'
says '"file":"open.csv"'
says '"header":"ICP(psi)","kind":"rail_pressure","unit":"psi","sure":true,"time":\[0.0,0.5,1.0\],"value":\[82737.08'
says '"header":"ICP","kind":"rail_pressure","unit":"psi","sure":false'
says '"asks":\[\]'
says '"asks":\["column\\"ICP\\":nounitiswritten;27maybepsi,kPaorbar'

printf '<html><body>not found</body></html>\n' >page.csv
answers 2 page.csv
says 'is a web page'
answers 2 good.csv --unit RPN=rpm
says 'did you mean'
answers 2 good.csv --separator x
grep -q -e '--separator: "x" is no separator' err || fail "the option is not named"

# A job is read as it tells its logs to be read.
mkdir job
cp open.csv job
printf '{"railseep": "job", "name": "n", "complaint": "c", "circuit": "models/valley_v8.json", "logs": [{"name": "crank", "file": "open.csv", "columns": [{"column": "ICP", "unit": "bar"}]}]}\n' >job/job.json
answers 0 job/job.json
says 'bar *told *10 *0 to 9 *0 to 27'
echo "all as described"
