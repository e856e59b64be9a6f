#!/bin/sh
# Makes this checkout ready: what the system lacks through apt-get, then .venv with the Python libraries.
#   ./setup.sh run            what serving needs: no browser, no database server, no library of the tests
#   ./setup.sh test           that, and what the tests need
#   ./setup.sh mutants        that, and what plants changes in the rules
#   ./setup.sh list run|test  installs nothing; prints the Debian packages, each with its reason
# PYTHON=python3.12 names another Python than python3.
set -eu
cd "$(dirname "$0")"
PATH="$PATH:/usr/sbin:/sbin" # ldconfig is there
PYTHON=${PYTHON:-python3}
listing=""
if [ "${1:-}" = list ]; then listing=yes && shift; fi
purpose=${1:?say run or test}
missing=""
reasons=""

fail() {
    echo "Set-up stopped: $*" >&2
    exit 1
}

# need PACKAGE WHY COMMAND…: the package is missing unless the command succeeds.
need() {
    package=$1 why=$2
    shift 2
    if [ -n "$listing" ]; then echo "$package: $why" && return; fi
    "$@" >/dev/null 2>&1 && return
    missing="$missing $package"
    reasons="$reasons
  $package: $why"
}

has_library() {
    ldconfig -p | grep -q "$1"
}

# The whole browser does as well: it takes the tests a minute longer.
has_browser() {
    command -v chromium-headless-shell || command -v chromium
}

has_postgresql() {
    ls /usr/lib/postgresql/*/bin/initdb || command -v initdb
}

check_python_version() {
    "$PYTHON" -c 'import sys; sys.exit(sys.version_info < (3, 11))' ||
        fail "$PYTHON is $("$PYTHON" -V), and 3.11 or newer is needed; name one that is: PYTHON=python3.12 make ..."
}

look_for_what_is_missing() {
    need python3 "the program is written in Python" command -v "$PYTHON"
    need python3-venv "keeps the program's libraries apart in .venv" "$PYTHON" -c "import ensurepip, venv"
    need libpango-1.0-0 "sets the text of the printed log" has_library "libpango-1\.0\.so\.0"
    need libpangoft2-1.0-0 "finds the fonts of the printed log" has_library "libpangoft2-1\.0\.so\.0"
    need libharfbuzz-subset0 "embeds those fonts in the PDF" has_library "libharfbuzz-subset\.so\.0"
    [ "$purpose" != run ] || return 0
    need chromium-headless-shell "the browser that the tests use, without its windows" has_browser
    need libatomic1 "what drives that browser is linked with it" has_library "libatomic\.so\.1"
    need postgresql "the second database that the tests run on, on a server of their own" has_postgresql
    need poppler-utils "reads back and draws the PDF pages in the tests" command -v pdftoppm
    need qpdf "checks the structure of the PDF in the tests" command -v qpdf
    need debootstrap "makes the bare Debian in which the tests install the program" command -v debootstrap
    need systemd "checks the unit file" command -v systemd-analyze
}

# Prints what to put before a command that needs root's rights, or fails.
as_root() {
    [ "$(id -u)" = 0 ] && return
    command -v sudo >/dev/null || return 1
    # Without a terminal nobody can type a password.
    sudo -n true 2>/dev/null || { [ -t 0 ] && sudo -v >&2; } || return 1
    echo sudo
}

install_what_is_missing() {
    [ -n "$missing" ] || return 0
    command -v apt-get >/dev/null ||
        fail "this system has no apt-get (it is not Debian's kind); install what these Debian packages hold yourself:$missing"
    sudo=$(as_root) || fail "root's rights or sudo are needed for: apt-get install --no-install-recommends$missing"
    echo "Installing Debian packages${sudo:+ through sudo}:$reasons"
    $sudo apt-get -qq update </dev/null || fail "apt-get could not fetch its list of packages (see above)"
    # The locale: PostgreSQL's package sets up a server with the caller's, which a fresh machine may not have.
    # shellcheck disable=SC2086 # $missing is a list
    $sudo env DEBIAN_FRONTEND=noninteractive LC_ALL=C.UTF-8 apt-get -qq --yes --no-install-recommends \
        -o DPkg::Lock::Timeout=300 install $missing </dev/null >/dev/null ||
        fail "apt-get could not install (see above):$missing"
}

make_venv() {
    .venv/bin/python -c 'import sys, pip; sys.exit(sys.version_info < (3, 11))' 2>/dev/null && return
    "$PYTHON" -m venv --clear .venv || fail "$PYTHON could not make .venv (see above)"
}

install_libraries() {
    wanted=$(cat requirements/*.txt | sha256sum | cut -d " " -f 1)
    case "$(cat .venv/installed 2>/dev/null)" in
        "$wanted mutants" | "$wanted $purpose") return ;;
        "$wanted test") [ "$purpose" != run ] || return 0 ;;
    esac
    case "$purpose" in
        run) what="for serving" ;;
        test) what="for serving and for the tests" ;;
        mutants) what="for serving, the tests and planted changes" ;;
    esac
    echo "Installing the Python libraries $what into .venv (each file by its hash, requirements/$purpose.txt)"
    .venv/bin/python -m pip install --quiet --disable-pip-version-check --no-input \
        --require-hashes -r "requirements/$purpose.txt" ||
        fail "pip could not install the Python libraries (see above)"
    echo "$wanted $purpose" >.venv/installed
}

case "$purpose" in run | test | mutants) ;; *) fail "say run or test, not $purpose" ;; esac
if [ -n "$listing" ]; then look_for_what_is_missing && exit; fi
if command -v "$PYTHON" >/dev/null; then check_python_version; fi
look_for_what_is_missing
install_what_is_missing
check_python_version
make_venv
install_libraries
