# shellcheck shell=bash
# Shared by .setup/install and .setup/test: sourced, not run.
#
# What is there already is left alone, so every step may be repeated. Needs no particular working folder.

root="$(cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.." && pwd -P)"
venv="$root/.venv"
readonly root venv

say() { printf '\n== %s\n' "$*"; }

fail() {
    printf '\nset-up stopped: %s\n' "$1" >&2
    shift
    if (($#)); then printf '  %s\n' "$@" >&2; fi
    exit 1
}

# apt_install PACKAGE...: as root, or through sudo.
apt_install() {
    local as_root=()
    command -v apt-get >/dev/null ||
        fail "missing: $*" \
            "These are the Debian and Ubuntu names, and this machine has no apt-get." \
            "Install what answers to them with this system's own package manager, then run this again."
    if [ "$(id -u)" -ne 0 ]; then
        command -v sudo >/dev/null ||
            fail "missing: $*" "As root, run:  apt-get install $*" "Then run this again."
        as_root=(sudo)
    fi
    say "Installing with apt: $*"
    "${as_root[@]}" apt-get update -q || printf 'apt-get update failed; trying with the lists that are here\n' >&2
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends "$@" ||
        fail "apt-get could not install: $*" "Its message stands above. As root, run:  apt-get install $*" \
            "Then run this again."
}

# PSUCHECK_NGSPICE names a library of the user's own. Debian keeps ldconfig out of an ordinary user's path.
have_libngspice() {
    [ -f "${PSUCHECK_NGSPICE:-}" ] ||
        PATH="$PATH:/usr/sbin:/sbin" ldconfig -p 2>/dev/null | grep 'libngspice\.so' >/dev/null
}
have_ngspice() { command -v ngspice >/dev/null; }

new_enough() { "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1; }
makes_venvs() { "$1" -c 'import ensurepip, venv' >/dev/null 2>&1; }

# Sets `python` to a Python 3.11 or newer, one that can make a virtual environment before one that cannot yet;
# to nothing if there is none.
find_python() {
    local candidate
    python=""
    for candidate in python3.13 python3.12 python3.11 python3; do
        if ! new_enough "$candidate"; then continue; fi
        python="$candidate"
        if makes_venvs "$candidate"; then return; fi
    done
}

# The apt package that lets `python` make a virtual environment: python3.12-venv and the like.
venv_package() { "$python" -c 'import sys; print("python%d.%d-venv" % sys.version_info[:2])'; }

# need_system libngspice|ngspice...: the named parts of ngspice, and a Python that can make a virtual environment.
need_system() {
    local part missing=()
    for part in "$@"; do
        case "$part" in
            libngspice) have_libngspice || missing+=(libngspice0) ;;
            ngspice) have_ngspice || missing+=(ngspice) ;;
        esac
    done
    find_python
    if [ -z "$python" ]; then
        missing+=(python3 python3-venv)
    elif ! makes_venvs "$python"; then
        missing+=("$(venv_package)")
    fi
    if ((${#missing[@]} == 0)); then return; fi

    apt_install "${missing[@]}"
    hash -r
    find_python
    [ -n "$python" ] ||
        fail "psucheck needs Python 3.11 or newer, and $(python3 --version 2>&1) is what this machine has." \
            "Debian 12 and Ubuntu 24.04, and all later ones, bring a newer one." \
            "On an older system, install a newer Python beside its own, with its venv package" \
            "(python3.11 and python3.11-venv on Ubuntu 22.04), then run this again."
    makes_venvs "$python" ||
        fail "$python cannot make a virtual environment (its modules venv and ensurepip are missing)."
    for part in "$@"; do
        "have_$part" || fail "$part was installed, and still is not found."
    done
}

# What the environment was made from; when this changes, it is brought up to date.
stamp_text() {
    printf '%s\n' "$venv"
    "$venv/bin/python" --version
    cat -- "$root/requirements.lock" "$root/pyproject.toml" | sha256sum
}

# The pinned packages, each checked against its hash, and psucheck itself from this folder, in .venv.
need_venv() {
    local pip=("$venv/bin/python" -m pip --disable-pip-version-check --no-input install --quiet)
    if ! new_enough "$venv/bin/python" || ! "$venv/bin/python" -m pip --version >/dev/null 2>&1; then
        say "Making .venv with $("$python" --version)"
        "$python" -m venv --clear "$venv" || fail "$python could not make $venv"
    fi
    if [ -x "$venv/bin/psucheck" ] && [ "$(stamp_text)" = "$(cat -- "$venv/psucheck-stamp" 2>/dev/null)" ]; then
        return
    fi
    say "Installing the Python packages into .venv (a minute or two the first time)"
    "${pip[@]}" --require-hashes -r "$root/requirements.lock" ||
        fail "pip could not install the packages of requirements.lock into .venv; its message stands above."
    "${pip[@]}" --no-deps --no-build-isolation --editable "$root" ||
        fail "pip could not install psucheck into .venv; its message stands above."
    stamp_text >"$venv/psucheck-stamp"
}
