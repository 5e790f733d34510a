#!/bin/sh
# Completion and manual page know every command and option that --help knows.
#
#     sh tests/shell_command.sh PROGRAM
set -eu
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
"$program" completion bash >bash.txt
"$program" completion zsh >zsh.txt
"$program" manual >manual.txt
sed 's/\\-/-/g' manual.txt >plain.txt
commands=$("$program" --help | sed -n '/^Subcommands:/,$s/^  \([a-z]*\)  .*/\1/p')
[ "$(echo "$commands" | wc -l)" -ge 15 ] || { echo "--help lists few commands"; exit 1; }
# knows COMMAND ...: manual and completions hold the command and all its options.
knows() {
  grep -qx "\.SS $*" plain.txt || { echo "the manual lacks $*"; exit 1; }
  for option in $("$program" "$@" --help | grep -oE '^  (-h,)?--[a-z-]+' | grep -oE -- '--[a-z-]+'); do
    grep -qF -- "$option" plain.txt || { echo "the manual lacks $* $option"; exit 1; }
    grep -F "    \"$*\") words=" bash.txt | grep -qF -- "$option" || { echo "bash does not complete $* $option"; exit 1; }
    grep -qF -- "'$option[" zsh.txt || { echo "zsh does not complete $* $option"; exit 1; }
  done
}
for command in $commands; do knows "$command"; done
below=$("$program" exercise --help | sed -n '/^Subcommands:/,$s/^  \([a-z]*\)  .*/\1/p')
[ "$(echo "$below" | wc -l)" -ge 5 ] || { echo "exercise --help lists few commands"; exit 1; }
for command in $below; do knows exercise "$command"; done
# bash takes it, and completes.
bash -c '. ./bash.txt; COMP_WORDS=(railseep match --oil-t); COMP_CWORD=2; _railseep; [ "${COMPREPLY[*]}" = --oil-temperature ]'
bash -c '. ./bash.txt; COMP_WORDS=(railseep exercise deb); COMP_CWORD=2; _railseep; [ "${COMPREPLY[*]}" = debrief ]'
bash -c '. ./bash.txt; COMP_WORDS=(railseep exercise debrief --ht); COMP_CWORD=3; _railseep; [ "${COMPREPLY[*]}" = --html ]'
bash -c '. ./bash.txt; COMP_WORDS=(railseep repo); COMP_CWORD=1; _railseep; [ "${COMPREPLY[*]}" = report ]'
if command -v man >/dev/null; then man -l manual.txt >/dev/null 2>warnings </dev/null && [ ! -s warnings ]; fi
echo "shells know all commands"
