#!/usr/bin/env bash
# Reads a printed pack back: running header and page numbers on every page, title, date, that the contents
# name the pages on which the chapters stand, and, by pdf.mjs, language, tags, links and outline.
#   print.sh PACK.pdf REPORT-NUMBER TITLE ISSUED WORDS-IN-A-PICTURE
set -euo pipefail
pdf=$1
number=$2
title=$3
issued=$4
drawn=$5
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

# An attached drawing lies beside the page that is printed; its words are read when it was found.
grep -rqF "$drawn" "$texts" || fail "no page shows the attached drawing with the words '$drawn'"

info=$(pdfinfo -isodates "$pdf")
grep -qE '^Tagged: +yes' <<<"$info" || fail "the file has no tags"
grep -qF "Title:           $title" <<<"$info" || fail "the file's title is not the report's"
for day in CreationDate ModDate; do
  grep -qE "^$day: +$issued" <<<"$info" || fail "$day is not the day of issue"
done
struct=$(pdfinfo -struct "$pdf" 2>/dev/null)
for tag in Document H1 Table TH Figure; do
  grep -qE "^ *$tag" <<<"$struct" || fail "no part of the file is tagged $tag"
done
outline=$(pdftohtml -xml -stdout -i -f 1 -l 1 "$pdf" 2>/dev/null | grep -c '<item' || true)
test "$outline" -gt 10 || fail "the outline has $outline entries"
qpdf --check "$pdf" >/dev/null || fail "the file is not sound: $(qpdf --check "$pdf" 2>&1 | tail -3)"
node "$(dirname "$0")/pdf.mjs" "$pdf" "$texts" || fail "tags, links or outline of the file are at fault"

# Each number of the contents is the page on which its chapter's heading stands.
contents=$(for page in $(seq 1 "$pages"); do grep -qE '^ *Contents$' "$texts/$page" && echo "$page" && break; done)
test -n "$contents" || fail "no page has the contents"
seen=0
while read -r page name; do
  grep -qE "^ *$name *$" "$texts/$page" || fail "the contents say that '$name' stands on page $page; it does not"
  seen=$((seen + 1))
done < <(pdftotext -raw -f "$contents" -l "$contents" "$pdf" - |
  sed -nE 's/^[0-9]+\. (.*[a-z]) p\. ([0-9]+)$/\2 \1/p')
test "$seen" -ge 2 || fail "the contents have $seen numbered chapters"
echo "$pages pages, each with report number and page number; $outline entries in the outline; $seen chapters where the contents say"
