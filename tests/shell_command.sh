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
for command in $commands; do
  grep -q "^\.SS $command$" plain.txt || { echo "the manual lacks $command"; exit 1; }
  for option in $("$program" "$command" --help | grep -oE '^  (-h,)?--[a-z-]+' | grep -oE -- '--[a-z-]+'); do
    grep -qF -- "$option" plain.txt || { echo "the manual lacks $command $option"; exit 1; }
    grep "^    $command) words=" bash.txt | grep -qF -- "$option" || { echo "bash does not complete $command $option"; exit 1; }
    grep -qF -- "'$option[" zsh.txt || { echo "zsh does not complete $command $option"; exit 1; }
  done
done
# bash takes it, and completes.
bash -c '. ./bash.txt; COMP_WORDS=(railseep match --oil-t); COMP_CWORD=2; _railseep; [ "${COMPREPLY[*]}" = --oil-temperature ]'
bash -c '. ./bash.txt; COMP_WORDS=(railseep repo); COMP_CWORD=1; _railseep; [ "${COMPREPLY[*]}" = report ]'
if command -v man >/dev/null; then man -l manual.txt >/dev/null 2>warnings </dev/null && [ ! -s warnings ]; fi
echo "shells know all commands"
