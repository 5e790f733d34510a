#!/bin/sh
# `railseep report`: HTML that needs nothing from elsewhere and a PDF with its fonts inside, the same bytes from the same
# job, in the shop's name and the user's units; a job with a complaint alone says what is known.
#
#     sh tests/report_command.sh PROGRAM
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
program=$1
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
cd "$folder"
fail() { echo "$1"; exit 1; }
boat=$root/scenarios/harbour-work-boat/job.json
mkdir -p settings/railseep
XDG_CONFIG_HOME=$folder/settings
export XDG_CONFIG_HOME
printf '{"railseep": "shop", "name": "Shop <Seven> & Sons", "address": "1 Quay", "mark": "S7", "currency": "crowns"}\n' >settings/railseep/shop.json
printf '{"pressure": "bar", "temperature": "degF"}\n' >settings/railseep/settings.json

"$program" report "$boat" --html a.html --pdf a.pdf --quiet
"$program" report "$boat" --html b.html --pdf b.pdf --quiet
cmp a.html b.html || fail "the same job gives another page"
cmp a.pdf b.pdf || fail "the same job gives another PDF"
! "$program" report "$boat" --html a.html 2>/dev/null || fail "a file is written over unasked"
! "$program" report "$boat" 2>/dev/null || fail "it writes although nothing says where"
[ "$(ls)" = "$(printf 'a.html\na.pdf\nb.html\nb.pdf\nsettings')" ] || fail "it leaves other files: $(ls)"

# The page: whole, self-contained, escaped, in the wanted units and currency, customer first.
grep -q 'Shop &lt;Seven&gt; &amp; Sons' a.html || fail "the shop's name is not on it, or not escaped"
! grep -qiE '(src|href)=|@import|url\(|<script' a.html || fail "the page needs something from elsewhere"
grep -q 'crowns' a.html || fail "it is not in the shop's currency"
! grep -q 'local money' a.html || fail "it is in two currencies"
grep -q ' bar' a.html || fail "it is not in the user's unit of pressure"
! grep -qE '[0-9] psi' a.html || echo "note: some pressures are still in psi"
for part in 'What you told us' 'What was found' 'How sure' 'What was done' 'Proof before and after' 'what it costs' \
  'Conditions' 'Candidates' 'cannot be told apart' "pump's oil goes" 'Assumed' 'fingerprint'; do
  grep -q "$part" a.html || fail "the page lacks: $part"
done
[ "$(grep -c '<svg' a.html)" -ge 4 ] || fail "pressure and duty of two logs are not drawn"

# The PDF: sheets, text, fonts.
if command -v pdftotext >/dev/null; then
  pdftotext -layout a.pdf a.txt
  for part in 'Report for the customer' 'What you told us' 'For the file' 'HOLE' 'crowns'; do
    grep -q "$part" a.txt || fail "the PDF lacks: $part"
  done
  pages=$(pdfinfo a.pdf | sed -n 's/^Pages: *//p')
  [ "$pages" -ge 3 ] && [ "$pages" -le 12 ] || fail "the PDF has $pages pages"
  pdftotext -f 1 -l 1 a.pdf first.txt
  grep -q 'What you told us' first.txt && ! grep -q 'Candidates' first.txt || fail "the first sheet is not the customer's"
  pdffonts a.pdf | awk 'NR > 2 && $(NF - 4) != "yes" { exit 1 } END { exit NR < 3 }' || fail "a font is not in the PDF"
fi

# A complaint alone.
printf '{"railseep": "job", "name": "ferry", "complaint": "No start since noon.", "circuit": "models/inline_six.json", "logs": []}\n' >ferry.json
"$program" report ferry.json --html - >ferry.html
grep -q 'No start since noon' ferry.html || fail "the complaint is not in the report"
grep -q 'Nothing has been measured yet' ferry.html || fail "it claims more than is known"
echo "reports are whole"
