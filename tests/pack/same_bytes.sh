#!/bin/sh
# The demo pack has the same bytes whatever builds it: tests/pack/same_bytes.sh PROGRAM...
# Each program (a debug and a release build) makes it with one, two and seven threads, in two locales and zones, from
# folders whose files were made in other orders. The list of sums of each pack is held against the first.
set -eu
cd "$(dirname "$0")/../.."
place=$(mktemp -d)
trap 'rm -rf "$place"' EXIT
first='' count=0
# Files as they are made decide how many disks list them.
(cd records && find . -type f | sort) >"$place/names"
for order in sort 'sort -r' 'sort -R'; do
  job="$place/job-$(echo "$order" | tr -d ' ')"
  $order "$place/names" | while read -r name; do
    mkdir -p "$job/$(dirname "$name")"
    cp "records/$name" "$job/$name"
  done
done
made() {
  status=0
  "$@" >/dev/null 2>&1 || status=$?
  test "$status" -eq 1 # planted defects are found
  count=$((count + 1))
  sum=$(sha256sum <"$place/out/files.sha256")
  if [ -z "$first" ]; then first=$sum; fi
  if [ "$sum" != "$first" ]; then
    echo "other bytes by: $*" >&2
    exit 1
  fi
  (cd "$place/out" && sha256sum --quiet --check files.sha256)
  rm -rf "$place/out"
}
for program in "$@"; do
  for job in "$place"/job-*; do
    made "$program" pack "$job/pack.toml" -o "$place/out" --whole
  done
  for threads in 1 2 7; do
    made env RAYON_NUM_THREADS=$threads "$program" pack "$job/pack.toml" -o "$place/out" --whole
  done
  made env LC_ALL=C TZ=Pacific/Kiritimati "$program" pack "$job/pack.toml" -o "$place/out" --whole
  made env LC_ALL=tr_TR.UTF-8 LANG=tr_TR.UTF-8 TZ=Etc/GMT+12 "$program" pack "$job/pack.toml" -o "$place/out" --whole
done
echo "$count packs, the same bytes"
