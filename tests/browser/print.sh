#!/usr/bin/env bash
# Reads a printed pack back: running header and page numbers on every page, outline, tags, language, title,
# date, and that the contents name the pages on which the chapters stand.
#   print.sh PACK.pdf REPORT-NUMBER TITLE ISSUED
set -euo pipefail
pdf=$1
number=$2
title=$3
issued=$4
fail() { echo "$1"; exit 1; }
pages=$(pdfinfo "$pdf" | awk '/^Pages:/ {print $2}')
test "$pages" -ge 1
texts=$(mktemp -d)
trap 'rm -rf "$texts"' EXIT
for page in $(seq 1 "$pages"); do
  pdftotext -f "$page" -l "$page" -layout "$pdf" "$texts/$page"
  grep -qF "$number" "$texts/$page" || fail "page $page of $pages lacks the report number $number"
  grep -qE "$page (of|/) $pages" "$texts/$page" || fail "page $page lacks its page number of $pages"
done

info=$(pdfinfo -isodates "$pdf")
grep -qE '^Tagged: +yes' <<<"$info" || fail "the file has no tags"
grep -qF "Title:           $title" <<<"$info" || fail "the file's title is not the report's"
for day in CreationDate ModDate; do
  grep -qE "^$day: +$issued" <<<"$info" || fail "$day is not the day of issue"
done
pdfinfo -struct "$pdf" 2>/dev/null | grep -q '^ *Document' || fail "the tags hold no document"
pdfinfo -struct "$pdf" 2>/dev/null | grep -qE '^ *TH' || fail "no table has a tagged heading"

# Outline and language stand in the file itself; python reads them where it is at hand.
if command -v python3 >/dev/null && python3 -c 'import pypdf' 2>/dev/null; then
  python3 - "$pdf" <<'PY'
import sys
from pypdf import PdfReader
pdf = PdfReader(sys.argv[1])
assert pdf.trailer["/Root"]["/Lang"] == "en", "the file has no language"
def entries(items):
    return sum(entries(item) if isinstance(item, list) else 1 for item in items)
count = entries(pdf.outline)
assert count > 10, f"the outline has {count} entries"
print(f"outline: {count} entries")
PY
fi

# Each number of the contents is the page on which its chapter's heading stands.
contents=$(grep -lE '^ *Contents$' "$texts"/* | sort -t/ -k4 -n | head -1)
test -n "$contents" || fail "no page has the contents"
seen=0
while read -r name page; do
  grep -qE "^ *$name *$" "$texts/$page" || fail "the contents say that '$name' stands on page $page; it does not"
  seen=$((seen + 1))
done < <(pdftotext -raw -f "${contents##*/}" -l "${contents##*/}" "$pdf" - |
  sed -nE 's/^[0-9. ]*(Summary matrix|Defects|What was not tested|Instruments|How verdicts are given) +([0-9]+)$/\1 \2/p')
test "$seen" -ge 2 || fail "the contents have $seen numbered chapters"
echo "$pages pages, each with report number and page number; $seen chapters where the contents say"
