#!/usr/bin/env bash
# A runner and a worker that are processes of their own, on this machine:
#
#   run.sh FOLDER OUT [flags of spadefoot-beam]
#   KILL_AFTER=3 run.sh FOLDER OUT    the worker is killed after three seconds; the run is then made again
#
# Prism does not try a bundle again. The run that lost its worker fails, releases
# nothing, and is to be made again; there is nothing of it to be doubled.
set -euo pipefail
here=$(cd "$(dirname "$0")" && pwd)
folder=$(realpath "$1") out=$(realpath -m "$2")
shift 2
work=$(mktemp -d)
server='' run=''
end() {
  for process in $run $server; do
    kill "$process" 2>/dev/null && wait "$process" || true
  done
  rm -rf "$work"
}
trap end EXIT
export SPADEFOOT_BEAM=${SPADEFOOT_BEAM:-$work/spadefoot-beam}
[ -x "$SPADEFOOT_BEAM" ] || (cd "$here" && go build -o "$SPADEFOOT_BEAM" .)
prism=${PRISM:-$work/prism}
[ -x "$prism" ] || (cd "$here" && go build -o "$prism" github.com/apache/beam/sdks/v2/go/cmd/prism)

port=${PORT:-8073}
"$prism" --job_port "$port" --serve_http=false >"$work/prism.log" 2>&1 &
server=$!
sleep 1
kill -0 "$server" || { cat "$work/prism.log"; exit 4; } # another server has the port
head -c 32 /dev/urandom >"$work/key"
chmod 600 "$work/key"
once() {
  "$SPADEFOOT_BEAM" --runner universal --endpoint "localhost:$port" \
    --environment_type PROCESS --environment_config "{\"command\":\"$here/worker.sh\"}" \
    --worker_binary "$SPADEFOOT_BEAM" --key-file "$work/key" --out "$out" "$@" "$folder"
}
if [ -n "${KILL_AFTER:-}" ]; then
  once "$@" &
  run=$!
  until worker=$(pgrep --parent "$server"); do sleep 0.1; done
  sleep "$KILL_AFTER"
  kill -KILL "$worker"
  echo "killed the worker, process $worker"
  if wait "$run"; then
    echo "the run ended before the worker was killed"
  else
    echo "the run failed; it released: $(ls -A "$out" 2>/dev/null)."
  fi
  run=
fi
once "$@"
