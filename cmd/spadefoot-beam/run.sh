#!/usr/bin/env bash
# A runner and a worker that are processes of their own, on this machine:
#
#   run.sh FOLDER OUT [flags of spadefoot-beam]
#   KILL_AFTER=3 run.sh FOLDER OUT    kills the worker once it has used three seconds of CPU time, then runs again
#
# Prism does not retry a bundle. A run that loses its worker fails, or hangs and is stopped after half a
# minute. It releases nothing; run it again with a new server.
set -euo pipefail
[ $# -ge 2 ] || { echo "usage: $0 FOLDER OUT [flags of spadefoot-beam]" >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd)
folder=$(realpath "$1") out=$(realpath -m "$2")
shift 2
work=$(mktemp -d)
server='' run=''
stop() { # stop PROCESS...
  for process in "$@"; do
    kill -KILL "$process" 2>/dev/null && wait "$process" 2>/dev/null || true
  done
}
end() {
  workers=$([ -z "$server" ] || pgrep --parent "$server" || true)
  stop $run $server $workers
  run='' server=''
}
trap 'end; rm -rf "$work"' EXIT
export SPADEFOOT_BEAM=${SPADEFOOT_BEAM:-$work/spadefoot-beam}
[ -x "$SPADEFOOT_BEAM" ] || (cd "$here" && go build -o "$SPADEFOOT_BEAM" .)
prism=${PRISM:-$work/prism}
[ -x "$prism" ] || (cd "$here" && go build -o "$prism" github.com/apache/beam/sdks/v2/go/cmd/prism)

export GOGC=${GOGC:-200} # of the worker: what lives is little, and memory is there
port=${PORT:-8073}
head -c 32 /dev/urandom >"$work/key"
chmod 600 "$work/key"
serve() {
  "$prism" --job_port "$port" --serve_http=false >"$work/prism.log" 2>&1 &
  server=$!
  until (: <>"/dev/tcp/localhost/$port") 2>/dev/null; do
    kill -0 "$server" || { cat "$work/prism.log"; exit 4; }
    sleep 0.1
  done
  kill -0 "$server" || { cat "$work/prism.log"; exit 4; } # another server has the port
}
once() { # in the background only: it gives way to the program, which signals then reach
  exec "$SPADEFOOT_BEAM" --runner universal --endpoint "localhost:$port" \
    --environment_type PROCESS --environment_config "{\"command\":\"$here/worker.sh\"}" \
    --worker_binary "$SPADEFOOT_BEAM" --key-file "$work/key" --out "$out" "$@" "$folder"
}
used() { # the seconds of processor that a process has used
  ps -o times= -p "$1" || echo 0
}
serve
if [ -n "${KILL_AFTER:-}" ]; then
  once "$@" &
  run=$!
  worker=''
  while kill -0 "$run" 2>/dev/null; do
    worker=$(pgrep --parent "$server" || true)
    [ -n "$worker" ] && [ "$(used "$worker")" -ge "$KILL_AFTER" ] && break
    sleep 0.1
  done
  [ -n "$worker" ] && kill -KILL "$worker" && echo "killed the worker (process $worker)"
  for _ in $(seq 300); do
    kill -0 "$run" 2>/dev/null || break
    sleep 0.1
  done
  kill -KILL "$run" 2>/dev/null && echo 'the run hung and was stopped'
  if wait "$run"; then
    echo 'the run finished before the worker was killed'
  elif released=$(ls "$out" 2>/dev/null) && [ -n "$released" ]; then # without the folder that it works in, which the next run clears
    echo "the run failed, but released" $released
  else
    echo 'the run failed and released nothing; running it again'
  fi
  end
  serve
fi
once "$@" &
run=$!
wait "$run"
