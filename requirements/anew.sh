#!/bin/sh
# Makes the lists of this folder anew: every library that is needed for each purpose, at the version that constraints.txt
# names, with the SHA-256 of each file of it that was published. Run it after a change of pyproject.toml or constraints.txt.
set -eu
cd "$(dirname "$0")/.."
tool=$(mktemp -d)
trap 'rm -rf "$tool"' EXIT
python3 -m venv "$tool"
"$tool/bin/pip" install --quiet --disable-pip-version-check uv

# compile FILE EXTRAS…
compile() {
    file=$1
    shift
    "$tool/bin/uv" pip compile pyproject.toml "$@" --quiet --universal --python-version 3.11 --constraints constraints.txt \
        --generate-hashes --no-header --no-annotate --output-file "requirements/$file" >/dev/null
}

compile run.txt
compile test.txt --extra test
compile mutants.txt --extra test --extra mutants
