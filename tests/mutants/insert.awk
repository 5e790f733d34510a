# Writes one source file with all its mutants in it, each behind a switch. Needs FILE (as mutants.txt names it) and the
# two files mutants.txt and the source, in that order. What does not fit ends it with exit code 1.

function refuse(text) {
  print "mutants.txt, " (number[edit] ? "mutant " number[edit] : "prepare") ": " text > "/dev/stderr"
  refused = 1
  exit 1
}

# How often `part` stands in `text`; 2 means twice or more.
function times_in(text, part,    at) {
  at = index(text, part)
  if (!at) return 0
  return index(substr(text, at + 1), part) ? 2 : 1
}

NR == FNR {
  rest = $0
  sub(/^[a-z]+ +/, "", rest)
  if ($1 == "mutant") now = $2
  else if ($1 == "prepare") now = 0
  else if ($1 == "file") file = rest
  else if ($1 == "find" && file == FILE) find[++edits] = rest
  else if ($1 == "with" && file == FILE) {
    gsub(/MUTANT/, "railseep_mutant(" now ")", rest)
    with[edits] = rest
    number[edits] = now
  }
  next
}

{ source = source $0 "\n" }

END {
  if (refused) exit 1
  original = source
  for (edit = 1; edit <= edits; ++edit) {
    if (times_in(original, find[edit]) != 1) refuse("\"" find[edit] "\" stands " (times_in(original, find[edit]) ? "more than once" : "nowhere") " in " FILE "; write a text that stands there once")
    if (times_in(source, find[edit]) != 1) refuse("\"" find[edit] "\" overlaps with another mutant of " FILE)
    at = index(source, find[edit])
    source = substr(source, 1, at - 1) with[edit] substr(source, at + length(find[edit]))
  }
  if (edits) print "#include \"mutant_switch.hpp\""
  printf "%s", source
}
