#!/bin/sh
# Brings this checkout to the newest version: a copy of the records first, then code, libraries, tables and register.
set -eu
cd "$(dirname "$0")/../.."
# The settings of the service, and its user: what root writes beside the records, the server could not.
settings=/etc/roast-ledger.env
if [ -r "$settings" ]; then set -a && . "$settings" && set +a; fi
owner=$(stat -c %U instance 2>/dev/null || id -un)
as_owner=""
if [ "$(id -u)" = 0 ] && [ "$owner" != root ]; then as_owner="runuser -u $owner --"; fi
flask="$as_owner .venv/bin/flask --app app"

fail() {
    echo "Upgrade stopped: $*" >&2
    exit 1
}

[ -x .venv/bin/flask ] || fail "nothing is installed here yet; make install does it"
[ -z "$(git status --porcelain --untracked-files=no)" ] || fail "files of the program were changed here: git status names them"
copy="instance/before-upgrade-$(date -u +%Y%m%dT%H%M%SZ).db"
$flask backup "$copy" || fail "the records could not be copied, so nothing was changed (see above)"
git pull --quiet --ff-only || fail "the newest version could not be fetched (see above); the old one is still in place"
./setup.sh run
$flask upgrade || fail "the tables could not be brought up to date (see above); $copy has the records as they were"
if command -v systemctl >/dev/null && systemctl --quiet is-active roast-ledger 2>/dev/null; then
    systemctl restart roast-ledger || fail "restart the service: systemctl restart roast-ledger"
else
    echo "Restart the server: it goes on with the old version until then."
fi
