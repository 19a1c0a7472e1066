#!/usr/bin/env bash
# Reads a printed pack back: page count, running header and page numbers on every page.
#   print.sh PACK.pdf REPORT-NUMBER
set -euo pipefail
pdf=$1
number=$2
pages=$(pdfinfo "$pdf" | awk '/^Pages:/ {print $2}')
test "$pages" -ge 1
for page in $(seq 1 "$pages"); do
  text=$(pdftotext -f "$page" -l "$page" -layout "$pdf" -)
  grep -qF "$number" <<<"$text" || { echo "page $page of $pages lacks the report number $number"; exit 1; }
  grep -qE "$page (of|/) $pages" <<<"$text" || { echo "page $page lacks its page number of $pages"; exit 1; }
done
echo "$pages pages, each with report number and page number"
