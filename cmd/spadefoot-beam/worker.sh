#!/usr/bin/env bash
# What the Prism server starts as a worker: one process of spadefoot-beam, whose
# endpoints are all the server's. SPADEFOOT_BEAM is the program.
set -euo pipefail
for flag in "$@"; do
  case "$flag" in
    --id=*) id=${flag#--id=} ;;
    --provision_endpoint=*) endpoint=${flag#--provision_endpoint=} ;;
  esac
done
id=${id//\'/}
exec "$SPADEFOOT_BEAM" --worker --id="$id" --logging_endpoint="$endpoint" --control_endpoint="$endpoint"
