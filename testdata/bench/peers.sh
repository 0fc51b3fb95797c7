#!/bin/sh
# Measures the program beside general tools that do a part of the same job by
# hand, on one sheet in one run:
#
#   testdata/bench/peers.sh [CAPTURES]
#
# The programs are in ../shared/bench (or $SPADEFOOT_SHARED/bench). One needs
# python3 with pandas; the others need node with @duckdb/node-api, which is
# looked for in $NODE_MODULES (the folder that holds node_modules). What is
# missing is left out.
set -eu
cd "$(dirname "$0")/../.."
shared=$(cd "${SPADEFOOT_SHARED:-../shared}/bench" && pwd)
set -- -n "${1:-100000}"
python=/usr/bin/python3
if "$python" -c 'import pandas' 2>/dev/null; then
	set -- "$@" -beside "$python $shared/peer_pandas.py {sheet} {out}"
else
	echo "peers: no pandas for $python: left out" >&2
fi
modules=${NODE_MODULES:-.}
if command -v node >/dev/null && [ -d "$modules/node_modules/@duckdb/node-api" ]; then
	# Node looks for a module beside the file that asks for it.
	copy=$(mktemp -d)
	trap 'rm -rf "$copy"' EXIT
	ln -s "$(cd "$modules" && pwd)/node_modules" "$copy/node_modules"
	for peer in peer_duckdb.mjs peer_duckdb_whole.mjs; do
		cp "$shared/$peer" "$copy/"
		set -- "$@" -beside "node $copy/$peer {sheet} {out}"
	done
else
	echo "peers: no @duckdb/node-api in $modules: left out" >&2
fi
go run ./testdata/bench "$@"
