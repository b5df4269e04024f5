#!/bin/sh
# The main job on one suit: check it, draw its sheets, name the files that were made.
# Usage: demo.sh LIMBWRIGHT SUIT
set -u
limbwright=$1
suit=$2
out=$(dirname "$suit")/out

started=$(mktemp)
made=$(mktemp)
trap 'rm -f "$started" "$made"' EXIT

echo "\$ limbwright check $suit"
"$limbwright" check "$suit"
code=$?
# A suit that falls short, or whose answer is unknown, is an answer and not a breakdown.
case $code in
    0) verdict="holds" ;;
    1) verdict="falls short: read the rows marked so above, they name what to change" ;;
    3) verdict="unknown: read the rows marked so above, they name what to measure" ;;
    *) exit "$code" ;;
esac

echo
echo "\$ limbwright sheets $suit"
"$limbwright" sheets "$suit" || exit $?

echo
echo "The suit as a whole: $verdict (exit code $code)"
echo
echo "Files made, all under $out:"
find "$out" -type d | sort | while read -r folder; do
    find "$folder" -maxdepth 1 -type f -newer "$started" | sort >"$made"
    count=$(wc -l <"$made" | tr -d ' ')
    if [ "$count" -gt 20 ]; then
        echo "  $folder: $count files, first $(basename "$(head -n 1 "$made")")"
    else
        sed 's/^/  /' "$made"
    fi
done
echo "Before cutting: print the test page at 100 % and measure its bar."
