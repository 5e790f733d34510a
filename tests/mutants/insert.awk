# Writes one source file with all its mutants in it, each behind a switch. Needs FILE (as mutants.txt names it) and the
# two files mutants.txt and the source, in that order. What does not fit ends it with exit code 1.

function refuse(text) {
  print "mutants.txt, " (number[edit] ? "mutant " number[edit] : "prepare") ": " text > "/dev/stderr"
  refused = 1
  exit 1
}

# A pattern that finds `part` however the source is wrapped and indented: blanks may stand between any two characters.
function pattern_of(part,    pattern, i, letter) {
  gsub(/[ \t]/, "", part)
  for (i = 1; i <= length(part); ++i) {
    letter = substr(part, i, 1)
    if (letter == "\\") letter = "\\\\"
    else if (letter == "^") letter = "\\^"
    else if (letter !~ /[A-Za-z0-9_ ]/) letter = "[" letter "]"
    pattern = pattern (i > 1 ? "[ \n]*" : "") letter
  }
  return pattern
}

# How often `part` stands in `text`; 2 means twice or more.
function times_in(text, part,    pattern) {
  pattern = pattern_of(part)
  if (!match(text, pattern)) return 0
  return match(substr(text, RSTART + 1), pattern) ? 2 : 1
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
    match(source, pattern_of(find[edit]))
    source = substr(source, 1, RSTART - 1) with[edit] substr(source, RSTART + RLENGTH)
  }
  if (edits) print "#include \"mutant_switch.hpp\""
  printf "%s", source
}
