#!/bin/sh
# Runs the program on an invented sheet with each feature that a large survey
# may ask for, one after the other, and fails where one needs more memory than
# the limit:
#
#   testdata/bench/features.sh [CAPTURES [MIB]]
#
# It needs GNU time. Memory is what is resident at the peak.
set -eu
cd "$(dirname "$0")/../.."
captures=${1:-100000} limit=${2:-400}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
go build -o "$work/spadefoot" ./cmd/spadefoot
go run ./testdata/bench -n "$captures" -make "$work/plain"

survey() { # survey NAME: a copy of the survey under another name
	cp -r "$work/plain" "$work/$1"
}
survey events
printf 'archive:\n  core: event\n' >>"$work/events/survey.yaml"
survey withheld
printf 'taxon,grid,reason\nLithobates pipiens,0.1,trade\n' >"$work/withheld/sensitive.csv"
sed -i 's/^tables: {/tables: {sensitive: sensitive.csv, /' "$work/withheld/survey.yaml"

failed=
printf '| %s captures | seconds | of processor | peak MiB |\n| --- | --- | --- | --- |\n' "$captures"
measure() { # measure WHAT VERB SURVEY [OPTIONS]
	what=$1
	shift
	code=0
	/usr/bin/time -o "$work/took" -f '%e %U %S %M' "$work/spadefoot" "$@" --quiet >"$work/said" 2>&1 || code=$?
	if [ "$code" -gt 1 ]; then # 1 is for findings
		cat "$work/said"
		exit "$code"
	fi
	tail -n 1 "$work/took" | awk -v what="$what" '{printf "| %s | %.1f | %.1f | %.0f |\n", what, $1, $2 + $3, $4 / 1024}'
	[ "$(tail -n 1 "$work/took" | awk -v limit="$limit" '{print ($4 / 1024 > limit)}')" = 0 ] || failed="$failed, $what"
}
measure run run "$work/plain" --out "$work/out"
measure 'run --since' run "$work/plain" --out "$work/out" --since "$work/out"
rm -rf "$work/out"
measure 'run --package' run "$work/plain" --out "$work/out" --package
rm -rf "$work/out"
measure 'run, events as the core' run "$work/events" --out "$work/out"
rm -rf "$work/out"
measure 'run, places withheld' run "$work/withheld" --out "$work/out"
rm -rf "$work/out"
measure 'check with all its files' check "$work/plain" --sarif "$work/sarif" --junit "$work/junit" --markdown "$work/markdown" --write-known "$work/known"
measure 'check --known' check "$work/plain" --known "$work/known"
measure remedies remedies "$work/plain" --out "$work/remedies.csv"
measure observers observers "$work/plain" --out "$work/observers"
if [ -n "$failed" ]; then
	echo "features: more than $limit MiB:${failed#,}" >&2
	exit 1
fi
