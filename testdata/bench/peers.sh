#!/bin/sh
# Measures the program beside two general tools that do a reduced form of the
# same job, on one sheet in one run:
#
#   testdata/bench/peers.sh [CAPTURES]
#
# The two programs stand in ../shared/bench (or $SPADEFOOT_SHARED/bench). One
# needs python3 with pandas; the other node with @duckdb/node-api, which is
# looked for in $NODE_MODULES (the folder that holds node_modules). What is not
# there is left out.
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
	cp "$shared/peer_duckdb.mjs" "$copy/"
	ln -s "$(cd "$modules" && pwd)/node_modules" "$copy/node_modules"
	set -- "$@" -beside "node $copy/peer_duckdb.mjs {sheet} {out}"
else
	echo "peers: no @duckdb/node-api in $modules: left out" >&2
fi
go run ./testdata/bench "$@"
