#!/bin/sh
# Makes a bare Debian a machine that serves, out of the checkout that this file lies in. Run it as root.
set -eu
cd "$(dirname "$0")/../.."
apt-get -qq update
DEBIAN_FRONTEND=noninteractive apt-get -qq --yes --no-install-recommends install ca-certificates >/dev/null
./setup.sh run
id ledger >/dev/null 2>&1 || useradd --system --user-group --home-dir "$PWD" --no-create-home ledger
install -d -o ledger -g ledger -m 700 instance
rm -rf /var/lib/apt/lists/*
