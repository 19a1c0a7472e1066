#!/bin/sh
# Whether the engines of editors colour what is meant: the TextMate grammar by vscode-textmate, as Visual Studio Code
# does, the syntax file by Vim itself. Needs node with the packages of tests/browser, and vim.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
root=$(cd "$here/../../.." && pwd)
node "$here/textmate.mjs"
out=$(mktemp)
trap 'rm -f "$out"' EXIT
code=0
vim -es -u NONE -i NONE --cmd "let g:root = '$root' | let g:out = '$out'" -S "$here/check.vim" "$here/sample.ctr" || code=$?
cat "$out"
exit "$code"
