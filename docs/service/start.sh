#!/bin/sh
# Brings the records up to date, prints the link that opens the set-up where there is no kitchen yet, and serves.
#   BIND     where to listen; 0.0.0.0:8000 when left out
#   ADDRESS  how a browser reaches it, for the link; http://127.0.0.1:8000 when left out
set -eu
cd "$(dirname "$0")/../.."
.venv/bin/flask --app app upgrade
.venv/bin/flask --app app init --if-empty --address "${ADDRESS:-http://127.0.0.1:8000}"
exec .venv/bin/gunicorn --workers 2 --bind "${BIND:-0.0.0.0:8000}" 'app:create_app()'
